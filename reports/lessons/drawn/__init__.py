"""The pictures of the lessons, a file each under the name of its lesson, and panels that several share."""

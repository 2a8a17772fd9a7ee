"""The desk: plans made, looked at and tried in a browser, over the same files as the commands."""

"""The words of a lesson: its prose, the figures in it, and the writer's own texts."""

"""What a plan is asked on its cards, in short form and in full."""

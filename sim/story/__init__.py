"""One lift as people act. Start reading at `lift.py`."""

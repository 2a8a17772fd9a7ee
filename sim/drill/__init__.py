"""How a drill really went: an observer's log, put through the same model as a told lift, what it says of the crew."""

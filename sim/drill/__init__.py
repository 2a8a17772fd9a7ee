"""How a drill really went: an observer's log, put through the same model as any lift, and what it says of the crew."""

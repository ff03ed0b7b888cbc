"""A page for a browser that shows the session and takes what is touched: on this machine, or in the local network."""

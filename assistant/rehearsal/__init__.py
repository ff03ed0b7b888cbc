"""A simulated weaver, for rehearsing, testing and showing; joins session and senses on a clock of its own."""

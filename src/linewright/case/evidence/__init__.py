"""What is known of the rope on board: its form and rules."""

"""The case: ship, lines, berths and states as the user typed them. It names cards, it loads none."""

"""What each case asks of our code: inputs in, quantities out. No formula is repeated here."""

"""The bending test of a rope in hand, as a case gives it from the certificate."""

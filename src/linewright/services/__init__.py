"""The verbs that both front ends call."""

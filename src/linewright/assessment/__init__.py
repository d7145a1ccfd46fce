"""From duty to life: the stages, each a function between frozen dataclasses."""

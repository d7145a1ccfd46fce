"""What a study says of buying ropes over the ship's life."""

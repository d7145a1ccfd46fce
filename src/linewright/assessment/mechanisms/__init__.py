"""The mechanisms of loss, one small room each; the catalogue is the one list of them."""

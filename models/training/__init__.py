"""How the ear's weights for words are trained, on synthetic voices alone: words -> voices -> scenes -> network."""

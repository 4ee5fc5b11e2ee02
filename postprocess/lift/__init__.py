"""The lift turn by turn: what its papers show, and the sentences and files made from it."""

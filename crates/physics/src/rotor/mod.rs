//! The rotor in the hand, at rest on the bench: what it weighs, how hard it is to turn, what its spin does to its metal, and what holds it and its magnets.

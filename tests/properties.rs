//! Properties on random storms, against a tiny independent model.

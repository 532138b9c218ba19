//! Every rule of pricing by hand: the arithmetic stands in the comments.

//! Little 1961, exact from empty to empty: the cars in the lot, summed over
//! time, are the time that each is in it, summed over cars.

//! The crew's time: hours, standard, log, learning.

mod hours;
mod learning;
mod standard;

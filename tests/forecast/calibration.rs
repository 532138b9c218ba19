//! Calibration.

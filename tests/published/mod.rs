//! Checks against outside sources, one file a source.

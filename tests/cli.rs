//! Commands, exit statuses, files written.

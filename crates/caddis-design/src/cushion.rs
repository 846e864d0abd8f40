//! Cushions: from need to keep-out distances, along the load path.

//! caddis-shop

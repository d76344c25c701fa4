//! Places and settings in an order.

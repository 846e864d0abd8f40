//! DXF writer (R2000, ASCII).

"""One file a format: a Review comes in, text goes out. Pure: no clock, no file, same bytes twice."""

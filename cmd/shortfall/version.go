package main

// version goes into every result; the commit does not, so that two builds of
// one release write the same bytes.
const version = "0.1.0"

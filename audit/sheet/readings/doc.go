// Package readings has the form of a readings file: the CSV that stands in for
// the setups of a sheet, one reading a row. What a row means for its setup,
// package sheet knows.
package readings

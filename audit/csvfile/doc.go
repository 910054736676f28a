// Package csvfile reads the CSV files that people write or save from a
// spreadsheet: a header, columns by name in any order, a comma or a semicolon
// between them. In a file with semicolons a number may have a decimal comma.
// Blank rows at the end, a byte order mark and a first line sep=; are what
// spreadsheets leave and are no fault; torn rows and unknown columns are.
package csvfile

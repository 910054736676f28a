// Package jobsheet draws the sheet of an audit that somebody signs, and the half
// page that the customer gets. Both are scenes of one page each, whatever is on the
// sheet: what finds no room stands in the annex, and the page says so. It also
// gathers the record of an audit, which the title block and the JSON show.
package jobsheet

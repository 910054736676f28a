// Package reporttest has what the tests of several rooms of the report need: audits
// of the good sheets and of sheets made for figures and strips, and checks of a
// drawing and of a page. Only tests import it.
package reporttest

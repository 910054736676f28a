package webserver

import (
	"fmt"
	"strings"

	qr "github.com/piglig/go-qr"
)

// squareCode is a square code (ISO/IEC 18004) of the page's address, to be
// photographed by a phone.
type squareCode struct {
	Size int // with its quiet border, in modules; zero when the text has none
	Path string
}

// quiet is the border around a square code, in modules (ISO/IEC 18004:2015, 6.3.8:
// four).
const quiet = 4

// newSquare draws a text as an SVG path.
func newSquare(text string) squareCode {
	code, err := qr.EncodeText(text, qr.Medium)
	if err != nil {
		return squareCode{} // the address stands beside it in letters
	}
	n := code.Size()
	var b strings.Builder
	for y := range n {
		for x := range n {
			if code.Module(x, y) {
				fmt.Fprintf(&b, "M%d %dh1v1h-1z", x+quiet, y+quiet)
			}
		}
	}
	return squareCode{Size: n + 2*quiet, Path: b.String()}
}

// halfBlocks draws a text as a square code for a terminal: a character is two
// modules, one above the other. Light modules are drawn, for terminals are dark.
func halfBlocks(text string) string {
	code, err := qr.EncodeText(text, qr.Low)
	if err != nil {
		return ""
	}
	n := code.Size()
	light := func(x, y int) bool { return x < 0 || y < 0 || x >= n || y >= n || !code.Module(x, y) }
	const border = 2 // the terminal around it is dark in any case
	var b strings.Builder
	for y := -border; y < n+border; y += 2 {
		b.WriteString("  ")
		for x := -border; x < n+border; x++ {
			switch top, low := light(x, y), light(x, y+1) || y+1 >= n+border; {
			case top && low:
				b.WriteString("█")
			case top:
				b.WriteString("▀")
			case low:
				b.WriteString("▄")
			default:
				b.WriteString(" ")
			}
		}
		b.WriteByte('\n')
	}
	return b.String()
}

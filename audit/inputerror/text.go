package inputerror

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"
)

// Spot is a place in a text: lines and columns count from 1, columns in
// characters. The zero value is no place.
type Spot struct{ Line, Column int }

// Trouble is what makes a whole file unreadable.
type Trouble struct {
	Spot
	Text, Hint string // as those of a [Fault]
}

// PlainText returns the bytes as text without a byte order mark and with plain
// line ends, or says why they are no text. What names the file's kind: "sheet"
// or "readings file". It is refused when it is larger than most bytes.
func PlainText(data []byte, what string, most int) (string, *Trouble) {
	if len(data) > most {
		return "", &Trouble{Text: fmt.Sprintf("the %s is larger than %d MB", what, most>>20), Hint: "is this the right file?"}
	}
	const utf16 = "the %s is UTF-16 text, expected UTF-8"
	if IsUTF16(data) {
		return "", &Trouble{Text: fmt.Sprintf(utf16, what), Hint: "save it again with the encoding UTF-8"}
	}
	text := strings.TrimPrefix(string(data), "\ufeff")
	if i := strings.IndexByte(text, 0); i >= 0 {
		return "", &Trouble{Spot: spotOf(text, i), Text: "found a zero byte: this is no text file", Hint: "is this the right file?"}
	}
	if !utf8.ValidString(text) {
		bad := strings.IndexFunc(text, func(r rune) bool { return r == utf8.RuneError })
		for strings.HasPrefix(text[bad:], "\ufffd") { // a replacement character that is really there
			bad += 3 + strings.IndexFunc(text[bad+3:], func(r rune) bool { return r == utf8.RuneError })
		}
		return "", &Trouble{Spot: spotOf(text, bad), Text: fmt.Sprintf("found the byte 0x%X, which is not UTF-8", text[bad]), Hint: "save the file again with the encoding UTF-8"}
	}
	for i, r := range text {
		if r < ' ' && r != '\n' && r != '\r' && r != '\t' || 0x7f <= r && r < 0xa0 {
			return "", &Trouble{Spot: spotOf(text, i), Text: fmt.Sprintf("found the control character %U", r), Hint: "delete it; the file may be damaged"}
		}
	}
	return strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n"), nil
}

// IsUTF16 recognises UTF-16 by its byte order mark, or without one by its first
// two letters.
func IsUTF16(data []byte) bool {
	if bytes.HasPrefix(data, []byte{0xff, 0xfe}) || bytes.HasPrefix(data, []byte{0xfe, 0xff}) {
		return true
	}
	if len(data) < 4 {
		return false
	}
	d := data[:4]
	return d[0] != 0 && d[1] == 0 && d[2] != 0 && d[3] == 0 || d[0] == 0 && d[1] != 0 && d[2] == 0 && d[3] != 0
}

func spotOf(text string, i int) Spot {
	before := text[:i]
	start := strings.LastIndexAny(before, "\r\n") + 1
	lines := strings.Count(before, "\n") + strings.Count(strings.ReplaceAll(before, "\r\n", ""), "\r")
	return Spot{lines + 1, utf8.RuneCountInString(before[start:]) + 1}
}

// SpotIn returns the place of byte i in a line.
func SpotIn(line string, i, number int) Spot {
	return Spot{number, utf8.RuneCountInString(line[:i]) + 1}
}

package drawing

import (
	"encoding/binary"
	"strings"
	"sync"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"

	"markaudit/geometry"
)

// typeface tells which letters a type has and how wide they are. A TrueType file
// holds both in its tables cmap, hhea and hmtx (ISO/IEC 14496-22, clause 5).
type typeface struct {
	perEm   int
	glyphs  map[rune]int // only looked up
	metrics []byte       // hmtx
	full    int          // glyphs with a width of their own
	plain   [128]int     // widths of the letters of ASCII, which are asked for most; zero: look it up
}

// sans is the type of all figures. Its letters are as wide as those of Arial and
// Helvetica, which stand in for it where a page is shown without it.
var sans = sync.OnceValue(func() *typeface { return readTypeface(liberationsansregular.TTF) })

// sansBold is the same type for what has to be seen first.
var sansBold = sync.OnceValue(func() *typeface { return readTypeface(liberationsansbold.TTF) })

func faceOf(bold bool) *typeface {
	if bold {
		return sansBold()
	}
	return sans()
}

// readTypeface reads a file that is known to be good; one that is not panics.
func readTypeface(ttf []byte) *typeface {
	u16 := func(b []byte, at int) int { return int(binary.BigEndian.Uint16(b[at:])) }
	u32 := func(b []byte, at int) int { return int(binary.BigEndian.Uint32(b[at:])) }
	table := func(tag string) []byte {
		for i := range u16(ttf, 4) {
			if entry := ttf[12+16*i:]; string(entry[:4]) == tag {
				return ttf[u32(entry, 8):][:u32(entry, 12)]
			}
		}
		panic("drawing: a type without " + tag)
	}
	f := &typeface{perEm: u16(table("head"), 18), full: u16(table("hhea"), 34), metrics: table("hmtx"), glyphs: map[rune]int{}}
	cmap := table("cmap")
	for i := range u16(cmap, 2) {
		record := cmap[4+8*i:]
		sub := cmap[u32(record, 4):]
		if u16(record, 0) != 3 || u16(record, 2) != 1 || u16(sub, 0) != 4 { // Unicode up to U+FFFF, by segments
			continue
		}
		size := u16(sub, 6)
		ends, starts, deltas, offsets := sub[14:], sub[16+size:], sub[16+2*size:], sub[16+3*size:]
		for s := 0; s < size; s += 2 {
			for c := u16(starts, s); c <= u16(ends, s) && c < 0xffff; c++ {
				glyph := c
				if o := u16(offsets, s); o != 0 {
					if glyph = u16(offsets, s+o+2*(c-u16(starts, s))); glyph == 0 {
						continue
					}
				}
				if glyph = (glyph + u16(deltas, s)) & 0xffff; glyph != 0 {
					f.glyphs[rune(c)] = glyph
				}
			}
		}
	}
	for r := range f.plain {
		f.plain[r], _ = f.advance(rune(r))
	}
	return f
}

// advance returns a letter's width in parts of 1/perEm of the size of the type,
// and whether the type has it.
func (f *typeface) advance(r rune) (int, bool) {
	if r < rune(len(f.plain)) && r >= ' ' && f.plain[r] > 0 {
		return f.plain[r], true
	}
	glyph, ok := f.glyphs[r]
	if !ok {
		return f.perEm, false // others are at most square
	}
	return int(binary.BigEndian.Uint16(f.metrics[4*min(glyph, f.full-1):])), true
}

// Width returns how long a text is when set in a size.
func Width(text string, size geometry.Length) geometry.Length { return sans().width(text, size) }

// BoldWidth is [Width] of bold type.
func BoldWidth(text string, size geometry.Length) geometry.Length {
	return sansBold().width(text, size)
}

func (f *typeface) width(text string, size geometry.Length) geometry.Length {
	sum := 0
	for _, r := range text {
		w, _ := f.advance(r)
		sum += w
	}
	return size * geometry.Length(sum) / geometry.Length(f.perEm)
}

// Wrap breaks a text into lines of at most a width: at spaces, and within a word
// that is longer than a line. What takes more than most lines ends in "…".
func Wrap(text string, size, width geometry.Length, most int) []string {
	return sans().wrap(text, size, width, most)
}

// WrapBold is [Wrap] of bold type.
func WrapBold(text string, size, width geometry.Length, most int) []string {
	return sansBold().wrap(text, size, width, most)
}

func (f *typeface) wrap(text string, size, width geometry.Length, most int) []string {
	var lines []string
	line := ""
	for word := range strings.FieldsSeq(strings.ToValidUTF8(text, "\uFFFD")) {
		if line != "" && f.width(line+" "+word, size) <= width {
			line += " " + word
			continue
		}
		if head, sign := strings.CutSuffix(line, " ±"); sign && f.width("± "+word, size) <= width { // it goes with its number
			line, word = head, "± "+word
		}
		if line != "" {
			lines = append(lines, line)
		}
		for f.width(word, size) > width && len(lines) < most {
			head := f.headOf(word, size, width)
			lines, word = append(lines, head), word[len(head):]
		}
		line = word
		if len(lines) > most {
			break
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	if len(lines) > most {
		lines = lines[:most]
		last := lines[most-1]
		for f.width(last+"…", size) > width && last != "" {
			r := []rune(last)
			last = string(r[:len(r)-1])
		}
		lines[most-1] = last + "…"
	}
	return lines
}

// headOf is as much of a word as fits, and at least one letter.
func (f *typeface) headOf(word string, size, width geometry.Length) string {
	fits := 0
	for i, r := range word {
		end := i + len(string(r))
		if fits > 0 && f.width(word[:end], size) > width {
			break
		}
		fits = end
	}
	return word[:fits]
}

package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// place is one change of one file.
type place struct {
	file        string // from the top of the tree
	function    string // that it is in; empty outside of functions
	line        int
	from, to    int    // bytes of the file that are replaced
	replacement string // by this
	before      string // the lines of source with the change, without and with it
	after       string
}

// key names a place without its line number, so that it stays the same while
// other lines of the file change.
func (p place) key() string {
	return fmt.Sprintf("%s | %s | %s → %s", p.file, p.function, p.before, p.after)
}

// source returns the file with the change made.
func (p place) source(original []byte) []byte {
	return slices.Concat(original[:p.from], []byte(p.replacement), original[p.to:])
}

// swapped has for each operator the one that takes its place.
var swapped = map[token.Token]token.Token{
	token.ADD: token.SUB, token.SUB: token.ADD, token.MUL: token.QUO, token.QUO: token.MUL,
	token.LSS: token.LEQ, token.LEQ: token.LSS, token.GTR: token.GEQ, token.GEQ: token.GTR,
	token.EQL: token.NEQ, token.NEQ: token.EQL, token.LAND: token.LOR, token.LOR: token.LAND,
	token.ADD_ASSIGN: token.SUB_ASSIGN, token.SUB_ASSIGN: token.ADD_ASSIGN,
	token.MUL_ASSIGN: token.QUO_ASSIGN, token.QUO_ASSIGN: token.MUL_ASSIGN,
}

// turned has for each comparison the one that points the other way.
var turned = map[token.Token]token.Token{
	token.LSS: token.GTR, token.LEQ: token.GEQ, token.GTR: token.LSS, token.GEQ: token.LEQ,
}

// placesOf returns the places of all files of a package but its tests.
func placesOf(folder string) ([]place, error) {
	files, err := filepath.Glob(filepath.Join(folder, "*.go"))
	if err != nil {
		return nil, err
	}
	var all []place
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		source, err := os.ReadFile(file)
		if err != nil {
			return nil, err
		}
		found, err := placesIn(filepath.ToSlash(file), source)
		if err != nil {
			return nil, err
		}
		all = append(all, found...)
	}
	return all, nil
}

// placesIn returns the places of one file, in their order.
func placesIn(name string, source []byte) ([]place, error) {
	positions := token.NewFileSet()
	parsed, err := parser.ParseFile(positions, name, source, parser.SkipObjectResolution)
	if err != nil {
		return nil, err
	}
	f := &finder{name: name, source: source, file: positions.File(parsed.Pos())}
	for _, d := range parsed.Decls {
		f.function = ""
		if fn, ok := d.(*ast.FuncDecl); ok {
			f.function = fn.Name.Name
		}
		ast.Inspect(d, f.visit)
	}
	return f.found, nil
}

type finder struct {
	name     string
	source   []byte
	file     *token.File
	function string
	found    []place
}

// visit notes what can be changed about a node, and reports whether to look
// inside.
func (f *finder) visit(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.ImportSpec:
		return false
	case *ast.BinaryExpr:
		f.operator(n.OpPos, n.Op)
	case *ast.AssignStmt:
		f.operator(n.TokPos, n.Tok)
	case *ast.UnaryExpr:
		if n.Op == token.SUB || n.Op == token.NOT {
			f.replace(n.OpPos, n.OpPos+1, "")
		}
	case *ast.BasicLit:
		f.number(n)
	case *ast.CallExpr:
		return f.call(n)
	}
	return true
}

func (f *finder) operator(at token.Pos, op token.Token) {
	for _, other := range []map[token.Token]token.Token{swapped, turned} {
		if by, ok := other[op]; ok {
			f.replace(at, at+token.Pos(len(op.String())), by.String())
		}
	}
}

// number makes a whole number larger by one and a decimal one twice as large.
// Decimals below a millionth are left alone: they say how far arithmetic is
// trusted, and twice as far is as good.
func (f *finder) number(l *ast.BasicLit) {
	switch l.Kind {
	case token.INT:
		if v, err := strconv.ParseInt(l.Value, 0, 64); err == nil {
			f.replace(l.Pos(), l.End(), strconv.FormatInt(v+1, 10))
		}
	case token.FLOAT:
		v, err := strconv.ParseFloat(l.Value, 64)
		if err != nil || v != 0 && v < 1e-6 {
			return
		}
		by := strconv.FormatFloat(max(2*v, 1), 'g', -1, 64)
		if v == 0.5 { // twice that is one, which reads as no factor at all
			by = "0.6"
		}
		if !strings.ContainsAny(by, ".e") {
			by += ".0"
		}
		f.replace(l.Pos(), l.End(), by)
	}
}

// call takes an absolute value away. Numbers that only tell strconv how wide a
// number is, or make how much room to take, change nothing that could be seen.
func (f *finder) call(c *ast.CallExpr) bool {
	if fn, ok := c.Fun.(*ast.Ident); ok && fn.Name == "make" {
		return false
	}
	fn, ok := c.Fun.(*ast.SelectorExpr)
	if !ok {
		return true
	}
	pkg, _ := fn.X.(*ast.Ident)
	switch {
	case pkg != nil && pkg.Name == "strconv":
		return false
	case pkg != nil && pkg.Name == "math" && fn.Sel.Name == "Abs" && len(c.Args) == 1:
		// The larger of a number and itself: the import stays in use.
		x := f.text(c.Args[0].Pos(), c.Args[0].End())
		f.replace(c.Pos(), c.End(), "math.Max("+x+", "+x+")")
	case fn.Sel.Name == "Abs" && len(c.Args) == 0:
		f.replace(fn.X.End(), c.End(), "")
	}
	return true
}

func (f *finder) text(from, to token.Pos) string {
	return string(f.source[f.file.Offset(from):f.file.Offset(to)])
}

func (f *finder) replace(from, to token.Pos, by string) {
	p := place{
		file: f.name, function: f.function, line: f.file.Line(from),
		from: f.file.Offset(from), to: f.file.Offset(to), replacement: by,
	}
	changed := p.source(f.source)
	begin := bytes.LastIndexByte(f.source[:p.from], '\n') + 1
	lines := func(text []byte, to int) string {
		end := len(text)
		if i := bytes.IndexByte(text[to:], '\n'); i >= 0 {
			end = to + i
		}
		code := string(text[begin:end])
		if i := strings.Index(code, " // "); i > p.from-begin {
			code = code[:i]
		}
		return strings.Join(strings.Fields(code), " ")
	}
	p.before, p.after = lines(f.source, p.to), lines(changed, p.from+len(by))
	f.found = append(f.found, p)
}

// drawn puts the places into an order that depends on the seed and on what each
// place is, and on no other place: a line more in one file leaves the draw of
// all others as it was.
func drawn(all []place, seed uint64) []place {
	seen := map[string]int{} // how often the same change of the same line was met
	order := make(map[int]string, len(all))
	for i, p := range all {
		key := p.key()
		sum := sha256.Sum256(fmt.Appendf(nil, "%d %s %d", seed, key, seen[key]))
		seen[key]++
		order[i] = hex.EncodeToString(sum[:])
	}
	indices := make([]int, len(all))
	for i := range indices {
		indices[i] = i
	}
	slices.SortFunc(indices, func(a, b int) int { return strings.Compare(order[a], order[b]) })
	out := make([]place, len(all))
	for i, j := range indices {
		out[i] = all[j]
	}
	return out
}

package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"go/ast"
	"go/constant"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"maps"
	"os"
	"os/exec"
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
	sources := map[string][]byte{}
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		if sources[filepath.ToSlash(file)], err = os.ReadFile(file); err != nil {
			return nil, err
		}
	}
	if len(sources) == 0 {
		return nil, nil
	}
	return placesIn(folder, sources)
}

// placesIn returns the places of a package's files, file by file in the order of
// their names.
func placesIn(folder string, sources map[string][]byte) ([]place, error) {
	positions := token.NewFileSet()
	names := slices.Sorted(maps.Keys(sources))
	var files []*ast.File
	for _, name := range names {
		parsed, err := parser.ParseFile(positions, name, sources[name], parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		files = append(files, parsed)
	}
	imports, err := exported(folder)
	if err != nil {
		return nil, err
	}
	known := types.Info{Types: map[ast.Expr]types.TypeAndValue{}}
	check := types.Config{Importer: importer.ForCompiler(positions, "gc", imports)}
	if _, err := check.Check(folder, positions, files, &known); err != nil {
		return nil, err
	}
	var all []place
	for i, name := range names {
		f := &finder{name: name, source: sources[name], file: positions.File(files[i].Pos()), known: known.Types, idle: map[*ast.BasicLit]bool{}}
		for _, d := range files[i].Decls {
			f.function = ""
			if fn, ok := d.(*ast.FuncDecl); ok {
				f.function = fn.Name.Name
			}
			ast.Inspect(d, f.visit)
		}
		all = append(all, f.found...)
	}
	return all, nil
}

// exported opens what the compiler wrote of the packages that a folder's package
// imports.
func exported(folder string) (func(path string) (io.ReadCloser, error), error) {
	list := exec.Command("go", "list", "-export", "-deps", "-f", "{{.ImportPath}}={{.Export}}", ".")
	list.Dir = folder
	out, err := list.Output()
	if err != nil {
		return nil, fmt.Errorf("%s: go list: %w", folder, err)
	}
	files := map[string]string{}
	for _, line := range strings.Fields(string(out)) {
		if path, file, ok := strings.Cut(line, "="); ok && file != "" {
			files[path] = file
		}
	}
	return func(path string) (io.ReadCloser, error) {
		file, ok := files[path]
		if !ok {
			return nil, fmt.Errorf("%s: no such import of %s", path, folder)
		}
		return os.Open(file)
	}, nil
}

type finder struct {
	name     string
	source   []byte
	file     *token.File
	function string
	known    map[ast.Expr]types.TypeAndValue
	idle     map[*ast.BasicLit]bool // not to be changed
	found    []place
}

// is reports whether an expression is of a kind, such as a whole number.
func (f *finder) is(e ast.Expr, kind types.BasicInfo) bool {
	basic, ok := f.known[e].Type.Underlying().(*types.Basic)
	return ok && basic.Info()&kind != 0
}

// visit notes what can be changed about a node, and reports whether to look
// inside.
func (f *finder) visit(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.ImportSpec:
		return false
	case *ast.BinaryExpr:
		if (n.Op == token.ADD || n.Op == token.SUB) && f.tiny(n.Y) {
			break
		}
		f.operator(n.OpPos, n.Op, n.X)
	case *ast.ReturnStmt:
		f.answer(n)
	case *ast.AssignStmt:
		f.operator(n.TokPos, n.Tok, n.Lhs[0])
		for _, e := range n.Rhs {
			f.none(e)
		}
	case *ast.UnaryExpr:
		if n.Op == token.SUB || n.Op == token.NOT {
			f.replace(n.OpPos, n.OpPos+1, "")
		}
	case *ast.ArrayType: // how much room there is
		return false
	case *ast.BasicLit:
		f.number(n)
	case *ast.CallExpr:
		return f.call(n)
	}
	return true
}

// operator changes an operator between operands that are as x is. Texts are only
// joined. Whether a decimal number may meet a border is left alone: readings are
// off it by more than their last digit.
func (f *finder) operator(at token.Pos, op token.Token, x ast.Expr) {
	if op != token.EQL && op != token.NEQ && f.known[x].Type != nil && f.is(x, types.IsString) {
		return
	}
	for i, other := range []map[token.Token]token.Token{swapped, turned} {
		by, ok := other[op]
		if _, compares := turned[op]; ok && !(i == 0 && compares && !f.is(x, types.IsInteger)) {
			f.replace(at, at+token.Pos(len(op.String())), by.String())
		}
	}
}

// tiny reports whether an expression is a constant below a millionth: by so much
// arithmetic is trusted, and whether it is added or taken off is as good.
func (f *finder) tiny(e ast.Expr) bool {
	value := f.known[e].Value
	if value == nil || value.Kind() != constant.Float && value.Kind() != constant.Int {
		return false
	}
	v, _ := constant.Float64Val(value)
	return v != 0 && v < 1e-6
}

// answer marks the numbers of a return that nobody looks at: those beside false, and
// that of a -1.
func (f *finder) answer(r *ast.ReturnStmt) {
	if len(r.Results) == 0 {
		return
	}
	last, _ := r.Results[len(r.Results)-1].(*ast.Ident)
	for _, result := range r.Results {
		f.none(result)
		if l, ok := result.(*ast.BasicLit); ok && last != nil && last.Name == "false" {
			f.idle[l] = true
		}
	}
}

// none marks the 1 of a -1 that stands for none: any number below zero would.
func (f *finder) none(e ast.Expr) {
	if minus, ok := e.(*ast.UnaryExpr); ok && minus.Op == token.SUB {
		if l, ok := minus.X.(*ast.BasicLit); ok && l.Kind == token.INT {
			f.idle[l] = true
		}
	}
}

// number makes a whole number larger by one and a decimal one twice as large.
// Decimals below a millionth are left alone: they say how far arithmetic is
// trusted, and twice as far is as good.
func (f *finder) number(l *ast.BasicLit) {
	if f.idle[l] {
		return
	}
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
// number is, Inf which sign to take, or make how much room, change nothing that
// could be seen.
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
	case pkg != nil && pkg.Name == "strconv", pkg != nil && pkg.Name == "math" && fn.Sel.Name == "Inf":
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

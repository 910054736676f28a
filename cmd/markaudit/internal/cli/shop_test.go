package cli

import (
	"bytes"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"markaudit/cmd/markaudit/internal/testsheet"
	"markaudit/cmd/markaudit/internal/world"
)

// saidTo is an output that several goroutines may use.
type saidTo struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *saidTo) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

var endToken = regexp.MustCompile(`name="t" value="(\w+)"`)

// endPage lets a browser in by the address that was opened, looks at the first page,
// and ends the program.
func endPage(t *testing.T, address string) (first string) {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	c := &http.Client{Jar: jar}
	get := func(path string) string {
		r, _ := http.NewRequest(http.MethodGet, path, nil)
		r.Header.Set("Accept", "text/html")
		answer, err := c.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		body, _ := io.ReadAll(answer.Body)
		_ = answer.Body.Close()
		return string(body)
	}
	u, err := url.Parse(address)
	if err != nil {
		t.Fatal(err)
	}
	get(address)
	base := "http://" + u.Host
	first = get(base + "/")
	answer, err := c.PostForm(base+"/end", url.Values{"t": {endToken.FindStringSubmatch(get(base + "/end"))[1]}})
	if err != nil {
		t.Fatal(err)
	}
	_ = answer.Body.Close()
	return first
}

// A double click opens the shop and asks for a folder where none is remembered; a
// typed call of the program alone shows its help, whatever its input is.
func TestDoubleClick(t *testing.T) {
	config := t.TempDir()
	t.Setenv("XDG_CONFIG_HOME", config)
	t.Setenv("HOME", config)
	t.Setenv("AppData", config)
	shop := t.TempDir()
	testsheet.Write(t, filepath.Join(shop, "mill.yaml"), testsheet.Unfinished)
	for _, tt := range []struct {
		name    string
		clicked bool
		args    []string
		want    string // on the first page; empty where none is served
	}{
		{"typed alone", false, nil, ""},
		{"a double click, nothing remembered", true, nil, "Where shall the jobs be kept?"},
		{"typed with a folder", false, []string{"shop", shop}, "To be measured"},
		{"a double click, the folder of last time", true, nil, "To be measured"},
		{"typed, the folder of last time", false, []string{"shop"}, "To be measured"},
		{"a double click with arguments is a typed call", true, []string{"version"}, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			opened := make(chan string, 1)
			out := &saidTo{}
			env := world.World{
				Stdin: strings.NewReader(""), Stdout: out, Stderr: out, Open: world.System().Open,
				Browse: func(address string) error { opened <- address; return nil }, Clicked: func() bool { return tt.clicked },
			}
			ended := make(chan int, 1)
			go func() { ended <- Run(env, tt.args) }()
			select {
			case status := <-ended:
				if tt.want != "" || status != 0 {
					t.Fatalf("it ended with %d and said\n%s", status, out.b.String())
				}
				if len(tt.args) == 0 && !strings.Contains(out.b.String(), `"markaudit shop" opens it as a page`) {
					t.Errorf("said\n%s", out.b.String())
				}
			case address := <-opened:
				if first := endPage(t, address); tt.want == "" || !strings.Contains(first, tt.want) {
					t.Errorf("the first page is\n%s", first)
				}
				if status := <-ended; status != 0 {
					t.Errorf("it ended with %d", status)
				}
			}
		})
	}
}

// A folder that is none is named.
func TestShopWithoutAFolder(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	dir := t.TempDir()
	file := filepath.Join(dir, "mill.yaml")
	testsheet.Write(t, file, testsheet.Unfinished)
	for path, want := range map[string]string{filepath.Join(dir, "none"): "no such folder", file: "a file, expected a folder"} {
		var out, complaint bytes.Buffer
		env := world.World{Stdin: strings.NewReader(""), Stdout: &out, Stderr: &complaint, Open: world.System().Open}
		if status := Run(env, []string{"shop", path}); status != 2 || !strings.Contains(complaint.String(), want) {
			t.Errorf("%s: status %d: %s%s", path, status, out.String(), complaint.String())
		}
	}
}

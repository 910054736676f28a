package webserver

import (
	"context"
	"fmt"
	"io"
	"net"
	"strconv"
	"strings"
	"sync"
	"time"

	"markaudit/audit/report/document"
	"markaudit/cmd/markaudit/internal/devices"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/recorder"
	"markaudit/cmd/markaudit/internal/stream"
	"markaudit/geometry"
)

// Options say how the page is served, and what its reports and strips are made
// with.
type Options struct {
	LAN      bool            // for the whole network; else for this computer alone
	Port     uint16          // zero for any that is free
	Software string          // that reports name as their maker
	Paper    geometry.Length // how thick the paper of the strips is
	Live     *stream.Live    // a readout that streams; nil for none
	Devices  *devices.Store  // which browsers were let in before; nil for none
	Blocks   bool            // the output is a terminal that shows half blocks, so a square code can be drawn
}

// Serve serves the page of a session until the context ends. Its addresses, with
// the code for the next device, go to out, which remembers trouble for the caller.
func Serve(ctx context.Context, r *recorder.Recorder, out io.Writer, o Options) error {
	return serve(ctx, r, out, o, time.Now, patient)
}

func serve(ctx context.Context, r *recorder.Recorder, out io.Writer, o Options, now func() time.Time, p patience) error {
	opened, err := open(out, o, now, p, r.Told())
	if err != nil {
		return err
	}
	r.Hold(strings.TrimSuffix(opened.gate.addresses("")[0], "/enter/"))
	opened.gate.access.issue()
	s := &server{gate: opened.gate, live: o.Live, software: o.Software, paper: o.Paper, rec: r}
	if err := s.serve(ctx, opened.listener, s.page); err != nil {
		return fmt.Errorf("the page ended: %w", err)
	}
	printTo(out, document.Space{})
	if text := r.Words().StopAtTheEnd(); text != "" {
		printTo(out, document.Sentence{Lead: "LOOK", Text: text})
	}
	printTo(out, document.Sentence{Text: fmt.Sprintf("Ended, with %s kept in %s.", phrase.Count(len(r.State().Rows()), "reading"), r.ReadingsName())})
	return nil
}

// printTo writes to the terminal. The output remembers trouble for the caller.
func printTo(out io.Writer, blocks ...document.Block) { _ = document.Text(out, blocks) }

// opened is a page that can be reached, before it answers.
type opened struct {
	gate     gate
	listener net.Listener
	port     string
}

// open opens the page's address, and says what the person must know of it. The
// caller issues the first code.
func open(out io.Writer, o Options, now func() time.Time, p patience, told []string) (opened, error) {
	address := "127.0.0.1"
	if o.LAN {
		address = ""
	}
	store := o.Devices
	if store == nil {
		store = devices.New()
	}
	l, moved, err := listen(address, o.Port, store.Port())
	if err != nil {
		return opened{}, fmt.Errorf("cannot serve the page: %w", err)
	}
	names, err := hosts(o.LAN)
	if err != nil {
		_ = l.Close() // nothing was served
		return opened{}, fmt.Errorf("cannot find the addresses of this computer: %w", err)
	}
	served := strconv.Itoa(l.Addr().(*net.TCPAddr).Port)
	for _, text := range told {
		printTo(out, document.Sentence{Text: text})
	}
	if o.LAN {
		printTo(out, document.Sentence{Lead: "NOTE", Text: openToAll})
	}
	if moved {
		printTo(out, document.Sentence{Lead: "NOTE", Text: fmt.Sprintf("port %d is taken, as by another page of this program, so this one has port %s. Devices that were let in on the other port need the code below.", store.Port(), served)})
	} else if o.Port == 0 {
		_ = store.Served(uint16(l.Addr().(*net.TCPAddr).Port)) // else the next run has another one
	}
	show := &shownNames{names: shownOf(names)}
	addresses := func(code string) []string { return show.addresses(served, code) }
	a := newAccess(store, served, now, func(code string) {
		var b strings.Builder
		b.WriteString("\nFor one device:\n")
		all := addresses(code)
		for _, address := range all {
			b.WriteString("  " + address + "\n")
		}
		if o.Blocks && !strings.HasPrefix(all[0], "http://127.") {
			b.WriteString(halfBlocks(all[0]))
		}
		_, _ = io.WriteString(out, b.String()) // the output remembers trouble
	})
	a.hosts = namesOf(names, served)
	if o.LAN {
		a.renew = func() map[string]bool { return renewed(a.hosts, served) }
	}
	return opened{gate{a, addresses, show, p}, l, served}, nil
}

// openToAll is said where a page is open to the network.
const openToAll = "the page goes over the network without encryption: who is on it can read along. End it when you are done."

// renewed looks the names of this computer up anew.
func renewed(before map[string]bool, port string) map[string]bool {
	names, err := hosts(true)
	if err != nil {
		return before
	}
	return namesOf(names, port)
}

// shownNames are the names under which other devices are told to find the page.
type shownNames struct {
	mu    sync.Mutex
	names []string
}

// shownOf leaves out this computer's names for itself where there are others.
func shownOf(names []string) []string {
	if len(names) > 3 {
		return names[3:]
	}
	return names[:1]
}

func (s *shownNames) set(names []string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.names = shownOf(names)
}

func (s *shownNames) addresses(port, code string) []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []string
	for _, name := range s.names {
		out = append(out, "http://"+net.JoinHostPort(strings.Trim(name, "[]"), port)+"/enter/"+code)
	}
	return out
}

// hosts lists the names by which the page may be called: those of this computer
// to itself, and with lan those that others know.
func hosts(lan bool) ([]string, error) {
	names := []string{"127.0.0.1", "localhost", "::1"}
	if !lan {
		return names, nil
	}
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		return nil, err
	}
	for _, a := range addresses {
		if ip, ok := a.(*net.IPNet); ok && !ip.IP.IsLoopback() && !ip.IP.IsLinkLocalUnicast() {
			names = append(names, ip.IP.String())
		}
	}
	return names, nil
}

// listen takes the port that was asked for; else the one of last time, so that the
// devices find the page again; else any. It reports whether that one was taken.
func listen(address string, asked, last uint16) (l net.Listener, moved bool, err error) {
	on := func(port uint16) (net.Listener, error) {
		return net.Listen("tcp", net.JoinHostPort(address, strconv.Itoa(int(port))))
	}
	if asked == 0 && last != 0 {
		if l, err := on(last); err == nil {
			return l, false, nil
		}
		l, err := on(0)
		return l, true, err
	}
	l, err = on(asked)
	return l, false, err
}

// namesOf are the names with the port, and on the port of the web without it too.
func namesOf(names []string, port string) map[string]bool {
	all := map[string]bool{}
	for _, name := range names {
		all[net.JoinHostPort(strings.Trim(name, "[]"), port)] = true
		if port == "80" {
			all[name] = true
		}
	}
	return all
}

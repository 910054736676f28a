package webserver

import (
	"context"
	"fmt"
	"io"
	"net"
	"strconv"
	"strings"
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
		return fmt.Errorf("cannot serve the page: %w", err)
	}
	names, err := hosts(o.LAN)
	if err != nil {
		_ = l.Close() // nothing was served
		return fmt.Errorf("cannot find the addresses of this computer: %w", err)
	}
	served := strconv.Itoa(l.Addr().(*net.TCPAddr).Port)
	say := func(blocks ...document.Block) { _ = document.Text(out, blocks) } // the output remembers trouble
	for _, told := range r.Told() {
		say(document.Sentence{Text: told})
	}
	if o.LAN {
		say(document.Sentence{Lead: "NOTE", Text: "the page goes over the network without encryption: who is on it can read along. End it when you are done."})
	}
	show := names[:1] // this computer
	if o.LAN && len(names) > 3 {
		show = names[3:]
	}
	if moved {
		say(document.Sentence{Lead: "NOTE", Text: fmt.Sprintf("port %d is taken, as by another page of this program, so this one has port %s. Devices that were let in on the other port need the code below.", store.Port(), served)})
	} else if o.Port == 0 {
		_ = store.Served(uint16(l.Addr().(*net.TCPAddr).Port)) // else the next run has another one
	}
	addresses := func(code string) []string {
		var out []string
		for _, name := range show {
			out = append(out, "http://"+net.JoinHostPort(strings.Trim(name, "[]"), served)+"/enter/"+code)
		}
		return out
	}
	a := newAccess(store, served, now, func(code string) {
		var b strings.Builder
		b.WriteString("\nFor one device:\n")
		all := addresses(code)
		for _, address := range all {
			b.WriteString("  " + address + "\n")
		}
		if o.Blocks && o.LAN {
			b.WriteString(halfBlocks(all[0]))
		}
		_, _ = io.WriteString(out, b.String()) // the output remembers trouble
	})
	a.hosts = called(names, served)
	if o.LAN {
		a.renew = func() map[string]bool {
			names, err := hosts(true)
			if err != nil {
				return a.hosts
			}
			return called(names, served)
		}
	}
	r.Hold(strings.TrimSuffix(addresses("")[0], "/enter/"))
	a.issue()
	s := &server{access: a, addresses: addresses, live: o.Live, software: o.Software, paper: o.Paper, patience: p, rec: r}
	if err := s.serve(ctx, l); err != nil {
		return fmt.Errorf("the page ended: %w", err)
	}
	say(document.Space{})
	if text := r.Words().StopAtTheEnd(); text != "" {
		say(document.Sentence{Lead: "LOOK", Text: text})
	}
	say(document.Sentence{Text: fmt.Sprintf("Ended, with %s kept in %s.", phrase.Count(len(r.State().Rows()), "reading"), r.ReadingsName())})
	return nil
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

// called are the names with the port, and on the port of the web without it too.
func called(names []string, port string) map[string]bool {
	all := map[string]bool{}
	for _, name := range names {
		all[net.JoinHostPort(strings.Trim(name, "[]"), port)] = true
		if port == "80" {
			all[name] = true
		}
	}
	return all
}

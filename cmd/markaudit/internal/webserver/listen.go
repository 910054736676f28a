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
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/recorder"
	"markaudit/geometry"
)

// Options say how the page is served, and what its reports and strips are made
// with.
type Options struct {
	LAN      bool            // for the whole network; else for this computer alone
	Port     uint16          // zero for any that is free
	Software string          // that reports name as their maker
	Paper    geometry.Length // how thick the paper of the strips is
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
	l, err := net.Listen("tcp", net.JoinHostPort(address, strconv.Itoa(int(o.Port))))
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
	a := newAccess(now, func(code string) {
		var b strings.Builder
		b.WriteString("\nFor one device:\n")
		for _, name := range show {
			fmt.Fprintf(&b, "  http://%s/enter/%s\n", net.JoinHostPort(strings.Trim(name, "[]"), served), code)
		}
		_, _ = io.WriteString(out, b.String()) // the output remembers trouble
	})
	for _, name := range names {
		a.hosts[net.JoinHostPort(strings.Trim(name, "[]"), served)] = true
	}
	a.issue()
	s := &server{access: a, software: o.Software, paper: o.Paper, patience: p, rec: r}
	if err := s.serve(ctx, l); err != nil {
		return fmt.Errorf("the page ended: %w", err)
	}
	say(document.Space{}, document.Sentence{Text: fmt.Sprintf("Ended, with %s kept in %s.", phrase.Count(len(r.State().Rows()), "reading"), r.ReadingsName())})
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

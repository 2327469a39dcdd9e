// Command fieldserver answers over HTTP what a machine may lift. It shows how a service
// embeds package ballast. A setup and its cases come in as JSON; answers, or problems that
// name each bad field by its path, go out as JSON.
//
//	fieldserver                     listens on 127.0.0.1:8080
//	curl -s localhost:8080/openapi.json
//	fieldserver -page yard.html     serves the page for phones too, at /yard
//
// Connections, bodies and times are bounded. A request must name this host in its Host
// header: localhost, a loopback address, or the host of -address. A proxy that passes another
// name must set the header. After SIGTERM or Ctrl-C the service finishes the requests that
// were begun and ends. It keeps and logs nothing of a request except its route, status, size
// and duration. By default it listens only on the loopback, because it has no users and no
// encryption; a proxy in front of it must provide them.
//
// Exit codes: 0 stopped when told to, 1 something failed, 2 wrong flags.
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"net"
	"os"

	"example.com/steelyard/examples/internal/cli"
)

func main() {
	os.Exit(cli.Main("fieldserver", os.Stderr, func(ctx context.Context) error {
		return fieldserver(ctx, os.Args[1:], os.Stderr)
	}))
}

func fieldserver(ctx context.Context, args []string, stderr io.Writer) error {
	flags := flag.NewFlagSet("fieldserver", flag.ContinueOnError)
	lim := defaultLimits
	address := flags.String("address", "127.0.0.1:8080", "where to listen, as `host:port`; port 0 takes a free one")
	file := flags.String("page", "", "the page for phones, a `file` that the program yard wrote, served at /yard; without it "+pageName+" beside this program, if there is one")
	flags.IntVar(&lim.connections, "max-connections", lim.connections, "connections that are open at a time; more are refused")
	flags.Int64Var(&lim.body, "max-body", lim.body, "`bytes` of a body at most")
	flags.DurationVar(&lim.header, "header-timeout", lim.header, "time to receive the header of a request")
	flags.DurationVar(&lim.read, "read-timeout", lim.read, "time to receive a whole request")
	flags.DurationVar(&lim.write, "write-timeout", lim.write, "time to answer a request")
	flags.DurationVar(&lim.idle, "idle-timeout", lim.idle, "time that a connection may wait for its next request")
	flags.IntVar(&lim.busy, "max-busy", lim.busy, "requests that are worked on at a time, for each operation")
	if err := cli.Parse(flags, args, stderr); err != nil {
		return err
	}
	switch {
	case flags.NArg() > 0:
		return cli.Usagef("%q: takes flags only", flags.Arg(0))
	case lim.body < 1 || lim.body > 64<<20:
		return cli.Usagef("-max-body %d: must be from 1 to %d", lim.body, 64<<20)
	case lim.header <= 0 || lim.read <= 0 || lim.write <= 0 || lim.idle <= 0:
		return cli.Usagef("-header-timeout, -read-timeout, -write-timeout and -idle-timeout must be positive")
	case lim.connections < 1 || lim.connections > 1<<16:
		return cli.Usagef("-max-connections %d: must be from 1 to %d", lim.connections, 1<<16)
	case lim.busy < 1:
		return cli.Usagef("-max-busy %d: must be positive", lim.busy)
	}
	page, err := readPage(*file)
	if err != nil {
		return fmt.Errorf("-page: %w", cli.Plain(err))
	}
	log := slog.New(slog.NewJSONHandler(stderr, nil))
	ln, err := net.Listen("tcp", *address)
	if err != nil {
		return fmt.Errorf("-address: %w", err)
	}
	if host, ok := ln.Addr().(*net.TCPAddr); ok && !host.IP.IsLoopback() {
		log.Warn("the service listens beyond this machine: put a proxy with users and encryption in front of it")
	}
	name, _, err := net.SplitHostPort(*address)
	if err != nil {
		return fmt.Errorf("-address: %w", err)
	}
	return serve(ctx, ln, lim, name, page, log)
}

package page

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"os"
	"strconv"
	"time"

	"golang.org/x/net/netutil"

	"shortfall/cmd/keep"
	"shortfall/cmd/page/guard"
	"shortfall/cmd/page/life"
	"shortfall/ingest/scratch"
	"shortfall/sampledata"
)

// Options of serving.
type Options struct {
	Version string
	// Home is where new databases go and those opened before are listed.
	Home *keep.Home
	// Open is the whole path of a database to show at once, "" for the start page.
	Open string
	// Show, where not nil, is given the address with its key once the page answers.
	Show func(address string)
	// Announce, where not nil, is given the address of the next window: each serves once.
	Announce func(address string) error
	// Out is told in words what happens: the end, and what could not be done.
	Out io.Writer
	// Stay keeps the program running after the last window was closed.
	Stay bool

	// Of a test: how long it waits for a window, for the head of a request and for the last
	// answers, and what it has for the invented sample; each where it is not nil or 0.
	life      *life.Life
	head, end time.Duration
	sample    []byte
}

// Bounds of a connection. A client that is slower than this is cut off.
const (
	headTime    = 5 * time.Second
	bodyTime    = 30 * time.Second // without a byte
	answerTime  = 2 * time.Minute
	idleTime    = 2 * time.Minute
	connections = 64
	endTime     = 3 * time.Second
)

// Serve answers on the loopback address until the context ends or the last window
// was closed a while ago. What is being read or kept then is rolled back.
func Serve(ctx context.Context, o Options) error {
	ctx, end := context.WithCancel(ctx)
	defer end()
	l, err := net.Listen("tcp4", "127.0.0.1:0")
	if err != nil {
		return fmt.Errorf("no address of this machine can be listened on: %w", err)
	}
	folder, release, err := scratch.Folder(os.TempDir())
	if err != nil {
		l.Close()
		return fmt.Errorf("no private folder for uploads: %w", err)
	}
	defer release()
	if o.Out == nil {
		o.Out = io.Discard
	}
	s := newServer(ctx, o, folder)
	defer func() {
		end() // which ends what s waits for, also where serving never began
		s.close()
	}()
	port := strconv.Itoa(l.Addr().(*net.TCPAddr).Port)
	g := guard.New(port, s.root, s.routes(), practicePath.MatchString, s.announce)
	h := &http.Server{
		Handler: g, ReadHeaderTimeout: s.o.head, ReadTimeout: bodyTime, WriteTimeout: answerTime, IdleTimeout: idleTime, MaxHeaderBytes: 16 << 10,
		ErrorLog: log.New(io.Discard, "", 0), BaseContext: func(net.Listener) context.Context { return ctx },
	}
	address := g.Address()
	if o.Open != "" {
		if _, err := s.shelf.take(o.Open); err != nil {
			l.Close()
			return err
		}
		address += At(o.Open)
	}
	failed := make(chan error, 1)
	go func() { failed <- h.Serve(netutil.LimitListener(l, connections)) }()
	s.announce(g.Address())
	if o.Show != nil {
		o.Show(address)
	}
	if !o.Stay {
		go s.life.Watch(ctx, s.queue.Working, func() {
			fmt.Fprintln(o.Out, "shortfall: the last window was closed, so the program ends")
			end()
		})
	}
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	last, done := context.WithTimeout(context.WithoutCancel(ctx), s.o.end)
	defer done()
	if err := h.Shutdown(last); err != nil {
		h.Close()
	}
	return nil
}

// filled puts what the program has in the place of what no test gives.
func (o Options) filled() Options {
	if o.life == nil {
		o.life = life.New(life.Grace)
	}
	if o.sample == nil {
		o.sample = sampledata.Workbook
	}
	o.head, o.end = cmp.Or(o.head, headTime), cmp.Or(o.end, endTime)
	return o
}

package postgres

import (
	"bytes"
	"io"
	"net"
	"net/url"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// held is a way to a server on which a sender stops in the middle of what it sends.
type held struct {
	address string
	stopped chan struct{} // closed once the way is held
	goOn    func()        // lets it through again
}

// holdAt opens a way to the server of an address. What the client sends goes through until
// a text was in it (here that of a statement, which travels in plain letters:
// https://www.postgresql.org/docs/15/protocol-message-formats.html) and nothing after it.
func holdAt(t *testing.T, address, text string) *held {
	t.Helper()
	to, err := url.Parse(address)
	require.NoError(t, err)
	listener, err := net.Listen("tcp4", "127.0.0.1:0")
	require.NoError(t, err)
	h := &held{address: strings.Replace(address, to.Host, listener.Addr().String(), 1), stopped: make(chan struct{})}
	released, stop := make(chan struct{}), sync.OnceFunc(func() { close(h.stopped) })
	h.goOn = sync.OnceFunc(func() { close(released) })
	t.Cleanup(func() { h.goOn(); listener.Close() })
	go func() {
		for {
			client, err := listener.Accept()
			if err != nil {
				return
			}
			server, err := net.Dial("tcp4", to.Host)
			if err != nil {
				client.Close()
				continue
			}
			go func() { _, _ = io.Copy(client, server); client.Close() }()
			go func() {
				defer server.Close()
				var sent bytes.Buffer
				for piece := make([]byte, 4096); ; {
					n, err := client.Read(piece)
					if _, writing := server.Write(piece[:n]); err != nil || writing != nil {
						return
					}
					if sent.Write(piece[:n]); bytes.Contains(sent.Bytes(), []byte(text)) {
						stop()
						<-released
						sent.Reset()
					}
				}
			}()
		}
	}()
	return h
}

package sheet

import "io"

// ahead unpacks a part on another processor while what came of it is read, a few pieces
// ahead (BenchmarkAhead).
type ahead struct {
	from   io.ReadCloser
	pieces chan piece
	spare  chan []byte
	stop   chan struct{}
	now    piece
	at     int // of its bytes, what was read
}

// piece is what one reading gave.
type piece struct {
	bytes    []byte
	err      error
	panicked any
}

// Parts that unfold to so many bytes are unpacked ahead, in pieces of which so many may wait.
const (
	aheadFrom  = 1 << 20
	pieceBytes = 64 << 10
	mostPieces = 4
)

func newAhead(from io.ReadCloser) *ahead {
	a := &ahead{from: from, pieces: make(chan piece, mostPieces), spare: make(chan []byte, mostPieces+2), stop: make(chan struct{})}
	for range cap(a.spare) {
		a.spare <- make([]byte, pieceBytes)
	}
	go a.unpack()
	return a
}

// unpack reads up to the first error, which is mostly the end.
func (a *ahead) unpack() {
	defer close(a.pieces)
	for {
		var b []byte
		select {
		case b = <-a.spare:
		case <-a.stop:
			return
		}
		p := a.piece(b)
		select {
		case a.pieces <- p:
		case <-a.stop:
			return
		}
		if p.err != nil || p.panicked != nil {
			return
		}
	}
}

// piece fills what it can of some bytes.
func (a *ahead) piece(b []byte) (p piece) {
	defer func() { p.panicked = recover() }()
	n := 0
	for n < len(b) && p.err == nil {
		var m int
		m, p.err = a.from.Read(b[n:])
		n += m
		p.bytes = b[:n]
	}
	return p
}

func (a *ahead) Read(b []byte) (int, error) {
	for a.at == len(a.now.bytes) {
		if a.now.panicked != nil {
			panic(a.now.panicked) // where whoever reads the file catches it
		}
		if a.now.err != nil {
			return 0, a.now.err
		}
		if cap(a.now.bytes) > 0 {
			a.spare <- a.now.bytes[:cap(a.now.bytes)]
		}
		a.now, a.at = <-a.pieces, 0
	}
	n := copy(b, a.now.bytes[a.at:])
	a.at += n
	return n, nil
}

// Close stops what is unpacked, and waits for it.
func (a *ahead) Close() error {
	close(a.stop)
	for range a.pieces { // until it has stopped
	}
	return a.from.Close()
}

package sheet

import (
	"bytes"
	"io"
)

// source gives the bytes of a part one by one to the decoder, which then reads none
// ahead, and in pieces to what scans rows. Both may so take turns.
type source struct {
	r       io.Reader
	buf     []byte
	at, end int // buf[at:end] is not read yet
	err     error
	// taken bytes were read in pieces; wasted ones were looked at and left to the decoder.
	taken, wasted int
}

const (
	// sourceBytes are read at a time.
	sourceBytes = 64 << 10
	// longestPiece is what may be scanned in one piece; a row of 30 columns has 2 kB.
	longestPiece = 512 << 10
	// mostWasted may be looked at in vain beyond what was taken, so that what is made
	// to be odd costs no more than twice.
	mostWasted = 1 << 20
)

func newSource(r io.Reader) *source { return &source{r: r, buf: make([]byte, sourceBytes)} }

// more reads on behind what is not read yet.
func (s *source) more() bool {
	if s.err != nil {
		return false
	}
	if s.at > 0 {
		s.end = copy(s.buf, s.buf[s.at:s.end])
		s.at = 0
	}
	if s.end == len(s.buf) {
		s.buf = append(s.buf, make([]byte, len(s.buf))...)
	}
	n, err := s.r.Read(s.buf[s.end:])
	s.end += n
	s.err = err
	return n > 0 || err == nil
}

// ReadByte is what the decoder reads by.
func (s *source) ReadByte() (byte, error) {
	for s.at == s.end {
		if !s.more() {
			return 0, s.err
		}
	}
	c := s.buf[s.at]
	s.at++
	return c, nil
}

// Read is there since the decoder asks for a reader.
func (s *source) Read(p []byte) (int, error) {
	for s.at == s.end {
		if !s.more() {
			return 0, s.err
		}
	}
	n := copy(p, s.buf[s.at:s.end])
	s.at += n
	return n, nil
}

// pieces gives what is not read yet up to the end of the last mark at hand, if it begins
// with one text and the first mark is not too far; nothing is taken as read but the blanks
// before it. An element without content ends with its tag, and is given alone.
func (s *source) pieces(begin, mark string) []byte {
	if s.wasted > mostWasted+s.taken {
		return nil
	}
	for {
		for s.at < s.end && blank(s.buf[s.at]) {
			s.at++
		}
		if s.end-s.at >= len(begin) {
			break
		}
		if !s.more() {
			return nil
		}
	}
	if !bytes.HasPrefix(s.buf[s.at:s.end], []byte(begin)) {
		return nil
	}
	for {
		rest := s.buf[s.at:s.end]
		if i := bytes.IndexByte(rest, '>'); i > 0 && rest[i-1] == '/' {
			return rest[:i+1]
		}
		i := bytes.LastIndex(rest, []byte(mark))
		if i >= 0 {
			return rest[:i+len(mark)]
		}
		s.wasted += len(rest)
		if len(rest) > longestPiece || !s.more() {
			return nil
		}
	}
}

func blank(c byte) bool { return c == ' ' || c == '\n' || c == '\t' || c == '\r' }

// take takes what was scanned of a piece as read; so many bytes behind it were in vain.
func (s *source) take(n, wasted int) {
	s.at += n
	s.taken += n
	s.wasted += wasted
}

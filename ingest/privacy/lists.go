package privacy

import (
	"bufio"
	"bytes"
	"compress/gzip"
	_ "embed"
	"strings"
	"sync"
)

// The lists are described, with their sources, in words/README.md.
var (
	//go:embed words/given.gz
	givenPacked []byte
	//go:embed words/surnames.gz
	surnamesPacked []byte
	//go:embed words/ordinary.gz
	ordinaryPacked []byte
)

var (
	moreGiven = sync.OnceValue(func() map[string]bool { return unpack(givenPacked) })
	surnames  = sync.OnceValue(func() map[string]bool { return unpack(surnamesPacked) })
	ordinary  = sync.OnceValue(func() map[string]bool { return unpack(ordinaryPacked) })
)

// unpack reads a list of one word a line.
func unpack(packed []byte) map[string]bool {
	m := make(map[string]bool, 1<<15)
	z, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		panic(err) // it is part of the program
	}
	for lines := bufio.NewScanner(z); lines.Scan(); {
		m[strings.Clone(lines.Text())] = true
	}
	return m
}

// listed reports a word of three letters or more (two of a script without
// capitals) that is a given name or a surname of the lists and no word of the
// trade.
func listed(folded string) bool {
	if known[folded] {
		return false
	}
	return givenNames[folded] || moreGiven()[folded] || surnames()[folded]
}

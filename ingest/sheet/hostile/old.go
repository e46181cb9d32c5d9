package hostile

import (
	"encoding/binary"
	"fmt"
	"slices"
	"unicode/utf16"
)

// record of an old binary workbook ([MS-XLS] 2.1.4): its kind, the length and the data.
func record(kind uint16, data ...byte) []byte {
	out := binary.LittleEndian.AppendUint16(nil, kind)
	return append(binary.LittleEndian.AppendUint16(out, uint16(len(data))), data...)
}

func u16(values ...int) []byte {
	var out []byte
	for _, v := range values {
		out = binary.LittleEndian.AppendUint16(out, uint16(v))
	}
	return out
}

// Kinds of records.
const (
	biffBOF, biffEOF, biffSheet, biffContinue   = 0x0809, 0x000A, 0x0085, 0x003C
	biffTexts, biffText, biffNumber, biffColumn = 0x00FC, 0x00FD, 0x0203, 0x007D
	biffMerged, biffNote, biffBox, biffCheck    = 0x00E5, 0x001C, 0x01B6, 0x01BE
	biffName                                    = 0x0018
)

// stream of a workbook with one sheet: globals stand before the sheet, cells in it.
func stream(globals, cells []byte) []byte {
	begin := func(kind int) []byte { return record(biffBOF, append(u16(0x0600, kind), make([]byte, 12)...)...) }
	sheet := record(biffSheet, append([]byte{0, 0, 0, 0, 0, 0, 1, 0}, 'm')...)
	before := slices.Concat(begin(5), globals)
	at := len(before) + len(sheet) + len(record(biffEOF))
	binary.LittleEndian.PutUint32(sheet[4:], uint32(at))
	return slices.Concat(before, sheet, record(biffEOF), begin(0x10), cells, record(biffEOF))
}

// Special numbers of sectors ([MS-CFB] 2.1).
const (
	freeSector = 0xFFFFFFFF
	lastSector = 0xFFFFFFFE
	fatSector  = 0xFFFFFFFD
	sectorSize = 512
)

// compound is a container ([MS-CFB]) of one stream, its chain of sectors as next gives it.
func compound(data []byte, next func(i, n int) uint32) []byte {
	data = append(data, make([]byte, max(0, 4096-len(data)))...) // shorter ones live elsewhere
	n := (len(data) + sectorSize - 1) / sectorSize
	tables := (n + 2 + 126) / 127
	le := binary.LittleEndian
	head := append([]byte("\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"), make([]byte, 16)...)
	head = append(head, u16(0x3E, 3, 0xFFFE, 9, 6, 0, 0, 0)...)
	for _, v := range []uint32{0, uint32(tables), uint32(tables), 0, 4096, lastSector, 0, lastSector, 0} {
		head = le.AppendUint32(head, v)
	}
	for i := range 109 {
		v := uint32(freeSector)
		if i < tables {
			v = uint32(i)
		}
		head = le.AppendUint32(head, v)
	}
	var fat []byte
	for i := range tables * sectorSize / 4 {
		switch at := i - tables - 1; {
		case i < tables:
			fat = le.AppendUint32(fat, fatSector)
		case at < 0:
			fat = le.AppendUint32(fat, lastSector)
		case at >= n:
			fat = le.AppendUint32(fat, freeSector)
		default:
			fat = le.AppendUint32(fat, next(at, n)+uint32(tables+1))
			if next(at, n) == lastSector {
				le.PutUint32(fat[len(fat)-4:], lastSector)
			}
		}
	}
	entry := func(name string, kind byte, child, start uint32, size int) []byte {
		e := make([]byte, 128)
		for i, c := range utf16.Encode([]rune(name)) {
			le.PutUint16(e[2*i:], c)
		}
		le.PutUint16(e[64:], uint16(2*len(name)+2))
		e[66], e[67] = kind, 1
		le.PutUint32(e[68:], freeSector)
		le.PutUint32(e[72:], freeSector)
		le.PutUint32(e[76:], child)
		le.PutUint32(e[116:], start)
		le.PutUint64(e[120:], uint64(size))
		return e
	}
	folder := slices.Concat(entry("Root Entry", 5, 1, lastSector, 0), entry("Workbook", 2, freeSector, uint32(tables+1), len(data)), make([]byte, 256))
	return slices.Concat(head, fat, folder, data, make([]byte, n*sectorSize-len(data)))
}

// inOrder is the chain of a stream that lies in one piece.
func inOrder(i, n int) uint32 {
	if i+1 == n {
		return lastSector
	}
	return uint32(i + 1)
}

// old: binary workbooks.
func old(give func(string, []byte)) {
	whole := stream(nil, record(biffNumber, append(u16(0, 0, 0), make([]byte, 8)...)...))
	give("an old workbook.xls", compound(whole, inOrder))
	give("sectors in a circle.xls", compound(append(whole, make([]byte, 1<<20)...), func(i, n int) uint32 { return uint32((i + 1) % 7) }))
	give("a sector after itself.xls", compound(append(whole, make([]byte, 1<<20)...), func(i, _ int) uint32 { return uint32(i) }))
	lies := compound(whole, inOrder)
	for _, at := range []int{40, 44, 48, 60, 64, 68, 72} { // counts and places in the header
		lie := slices.Clone(lies)
		binary.LittleEndian.PutUint32(lie[at:], 0x7FFFFFF0)
		give(fmt.Sprintf("a header that lies at %d.xls", at), lie)
	}
	times := func(n int, f func(i int) []byte) []byte {
		var out []byte
		for i := range n {
			out = append(out, f(i)...)
		}
		return out
	}
	each([]int{1000, 30_000, 400_000}, func(n int) {
		book := func(name string, globals, cells []byte) {
			give(fmt.Sprintf("%s, %d.xls", name, n), compound(stream(globals, cells), inOrder))
		}
		texts := record(biffTexts, append(make([]byte, 8), make([]byte, 8000)...)...)
		book("empty records that go on", append(texts, times(n, func(int) []byte { return record(biffContinue) })...), nil)
		long := record(biffTexts, append(binary.LittleEndian.AppendUint32(make([]byte, 4), 1), 0xFF, 0xFF, 0, 'a')...)
		book("a text in pieces of a letter", append(long, times(n, func(int) []byte { return record(biffContinue, 0, 'a') })...), nil)
		book("sheets of one place", times(n, func(int) []byte { return record(biffSheet, 0, 0, 0, 0, 0, 0, 1, 0, 'x') }), nil)
		book("records without meaning", nil, times(n, func(int) []byte { return record(0x7777) }))
		book("numbers in the last column", nil, times(n, func(i int) []byte { return record(biffNumber, append(u16(i, 255, 0), make([]byte, 8)...)...) }))
		book("numbers backwards", nil, times(n, func(i int) []byte { return record(biffNumber, append(u16(0xFFFF-i, i%200, 0), make([]byte, 8)...)...) }))
		book("hidden columns", nil, times(n, func(int) []byte { return record(biffColumn, u16(0, 255, 0, 0, 1, 0)...) }))
		book("merged areas", nil, times(n, func(int) []byte { return record(biffMerged, u16(1, 0, 0xFFFF, 0, 255)...) }))
		book("notes", nil, times(n, func(i int) []byte { return record(biffNote, append(u16(i, 0, 0, 0), 1, 0, 0, 'a')...) }))
		book("text boxes", nil, times(n, func(i int) []byte {
			return append(record(biffBox, append(append(make([]byte, 10), 2, 0), make([]byte, 6)...)...), record(biffContinue, 0, byte('a'+i%26), byte('a'+i/26%26))...)
		}))
		book("checks", nil, times(n, func(int) []byte { return record(biffCheck, append(make([]byte, 4), u16(1, 'a'<<8, 1, 'b'<<8)...)...) }))
		book("names", times(n, func(i int) []byte {
			return record(biffName, append(append([]byte{0, 0, 0, 2}, make([]byte, 11)...), byte('a'+i%26), byte('a'+i/26%26))...)
		}), nil)
		shared := binary.LittleEndian.AppendUint32(make([]byte, 4), 1)
		shared = record(biffTexts, append(append(shared, 0x40, 0x1F, 0), make([]byte, 8000)...)...)
		book("one long text again and again", shared, times(n, func(i int) []byte { return record(biffText, append(u16(i, 0, 0), 0, 0, 0, 0)...) }))
	})
}

package template

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"hash/crc32"
	"io"
	"io/fs"
	"slices"

	"github.com/xuri/excelize/v2"
)

// FixOrder makes a workbook that was filled by several stream writers come out
// the same each time: excelize ranges over a map of them when it saves. Call it
// before Write.
func FixOrder(f *excelize.File) {
	f.SetZipWriter(func(w io.Writer) excelize.ZipWriter { return &orderedZip{to: w, parts: map[string]*part{}} })
}

// orderedZip holds the parts back, compressed, and writes them in the order of their
// names, with no time of day.
type orderedZip struct {
	to    io.Writer
	parts map[string]*part
}

// part is one file of a workbook: a sheet of a million rows is some 500 MB before it is
// compressed.
type part struct {
	packed bytes.Buffer
	flate  *flate.Writer
	crc    uint32
	size   uint64
}

func (p *part) Write(b []byte) (int, error) {
	p.crc = crc32.Update(p.crc, crc32.IEEETable, b)
	p.size += uint64(len(b))
	return p.flate.Write(b)
}

func (z *orderedZip) Create(name string) (io.Writer, error) {
	p := &part{}
	var err error
	p.flate, err = flate.NewWriter(&p.packed, packing)
	z.parts[name] = p
	return p, err
}

// packing is the level at which archive/zip compresses.
const packing = 5

// AddFS is part of excelize.ZipWriter; excelize does not call it on saving.
func (z *orderedZip) AddFS(fsys fs.FS) error {
	return fs.WalkDir(fsys, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := fs.ReadFile(fsys, name)
		if err != nil {
			return err
		}
		w, err := z.Create(name)
		if err == nil {
			_, err = w.Write(content)
		}
		return err
	})
}

func (z *orderedZip) Close() error {
	names := make([]string, 0, len(z.parts))
	for name := range z.parts {
		names = append(names, name)
	}
	slices.SortFunc(names, byPart)
	out := zip.NewWriter(z.to)
	for _, name := range names {
		p := z.parts[name]
		if err := p.flate.Close(); err != nil {
			return err
		}
		w, err := out.CreateRaw(&zip.FileHeader{
			Name: name, Method: zip.Deflate, Flags: sizesFollow, CreatorVersion: version20, ReaderVersion: version20,
			CRC32: p.crc, CompressedSize64: uint64(p.packed.Len()), UncompressedSize64: p.size,
		})
		if err != nil {
			return err
		}
		if _, err := p.packed.WriteTo(w); err != nil {
			return err
		}
	}
	return out.Close()
}

// As archive/zip writes a part that it compresses itself (APPNOTE.TXT 4.4.3, 4.4.4).
const (
	sizesFollow = 0x8
	version20   = 20
)

// contentTypes comes first in a package: some readers sniff for it (ECMA-376
// part 2 asks for no order).
const contentTypes = "[Content_Types].xml"

func byPart(a, b string) int {
	switch {
	case a == b:
		return 0
	case a == contentTypes:
		return -1
	case b == contentTypes:
		return 1
	case a < b:
		return -1
	}
	return 1
}

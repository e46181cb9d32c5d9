package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// file of an archive.
type file struct {
	name    string
	content []byte
	mode    fs.FileMode
}

// lines ends lines as the system's own programs for text expect them.
func (b *build) lines(text []byte) []byte {
	text = bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))
	if b.system == "windows" {
		text = bytes.ReplaceAll(text, []byte("\n"), []byte("\r\n"))
	}
	return text
}

// pack writes the files into an archive that holds them in one folder: the kind that
// opens with a double click on its system.
func (b *build) pack(folder string, files []file) (path string, err error) {
	ending, write := ".tar.gz", tarred
	if b.system == "windows" {
		ending, write = ".zip", zipped
	}
	path = filepath.Join(folder, b.name()+ending)
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if err != nil {
		return "", err
	}
	defer f.Close()
	if err := write(f, b.name(), b.made, files); err != nil {
		return "", err
	}
	return path, f.Close()
}

func tarred(w io.Writer, folder string, made time.Time, files []file) error {
	z, err := gzip.NewWriterLevel(w, gzip.BestCompression) // its head bears neither name nor time
	if err != nil {
		return err
	}
	t := tar.NewWriter(z)
	for _, f := range files {
		head := &tar.Header{Typeflag: tar.TypeReg, Name: folder + "/" + f.name, Size: int64(len(f.content)), Mode: int64(f.mode), ModTime: made, Format: tar.FormatUSTAR}
		if err := t.WriteHeader(head); err != nil {
			return err
		}
		if _, err := t.Write(f.content); err != nil {
			return err
		}
	}
	if err := t.Close(); err != nil {
		return err
	}
	return z.Close()
}

func zipped(w io.Writer, folder string, made time.Time, files []file) error {
	z := zip.NewWriter(w)
	for _, f := range files {
		head := &zip.FileHeader{Name: folder + "/" + f.name, Method: zip.Deflate, Modified: made}
		head.SetMode(f.mode)
		part, err := z.CreateHeader(head)
		if err != nil {
			return err
		}
		if _, err := part.Write(f.content); err != nil {
			return err
		}
	}
	return z.Close()
}

package main

import (
	"bytes"
	"embed"
	"text/template"
)

//go:embed readme/*.txt
var readmes embed.FS

// readme is the half page that goes with the program, in the words of its system.
func (b *build) readme() ([]byte, error) {
	t, err := template.ParseFS(readmes, "readme/all.txt", "readme/"+b.system+".txt")
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	err = t.ExecuteTemplate(&out, "all.txt", map[string]string{"Version": b.version, "Program": b.program()})
	return out.Bytes(), err
}

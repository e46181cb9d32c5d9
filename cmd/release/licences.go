package main

import (
	"bytes"
	"context"
	"debug/buildinfo"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// part is a module that is linked into the program, with the texts of its licences.
type part struct {
	path, version, sum string
	texts              []licence
}

type licence struct {
	name string // of the file, from the top of its module
	kind string // SPDX identifier, "" for what only goes with another
	text []byte
}

// std is what the Go distribution itself gives.
const std = "std"

// licences reads the licences of everything that is linked from the folders of the
// linked packages and those above them, in the module cache. A module without one, or
// with one whose kind is not known here, is an error: somebody must read it.
func licences(ctx context.Context, env []string, info *buildinfo.BuildInfo) ([]part, error) {
	folders, err := linked(ctx, env)
	if err != nil {
		return nil, err
	}
	out := []part{{path: std, version: info.GoVersion}}
	for _, m := range info.Deps {
		if m.Replace != nil {
			return nil, fmt.Errorf("%s is replaced, and its licence cannot be told", m.Path)
		}
		out = append(out, part{path: m.Path, version: m.Version, sum: m.Sum})
	}
	for i := range out {
		if err := out[i].read(folders[out[i].path]); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// linked lists the folders of the packages of each module, its top first.
func linked(ctx context.Context, env []string) (map[string][]string, error) {
	c := exec.CommandContext(ctx, "go", "list", "-deps", "-f", `{{with .Module}}{{.Path}}{{"\t"}}{{.Dir}}{{"\t"}}{{end}}{{if .Module}}{{.Dir}}{{end}}`, "./cmd/shortfall")
	c.Env, c.Stderr = env, os.Stderr
	list, err := c.Output()
	if err != nil {
		return nil, err
	}
	root, err := exec.CommandContext(ctx, "go", "env", "GOROOT").Output()
	if err != nil {
		return nil, err
	}
	out := map[string][]string{std: {strings.TrimSpace(string(root))}}
	for line := range strings.Lines(string(list)) {
		f := strings.Split(strings.TrimSpace(line), "\t")
		if len(f) != 3 {
			continue
		}
		for dir := f[2]; ; dir = filepath.Dir(dir) {
			if !slices.Contains(out[f[0]], dir) {
				out[f[0]] = append(out[f[0]], dir)
			}
			if dir == f[1] || dir == filepath.Dir(dir) {
				break
			}
		}
	}
	for _, dirs := range out {
		slices.Sort(dirs) // the top is the shortest
	}
	return out, nil
}

// isLicence tells the files that say under which terms a part is given.
var isLicence = regexp.MustCompile(`(?i)^(un)?(licen[cs]e|copying|notice|patents)`)

func (p *part) read(folders []string) error {
	if len(folders) == 0 {
		return fmt.Errorf("%s: where it lies cannot be told", p.path)
	}
	known := false
	for _, dir := range folders {
		entries, err := os.ReadDir(dir)
		if err != nil {
			return err
		}
		for _, e := range entries {
			if !isLicence.MatchString(e.Name()) || !e.Type().IsRegular() || strings.HasSuffix(e.Name(), ".go") {
				continue
			}
			text, err := os.ReadFile(filepath.Join(dir, e.Name()))
			if err != nil {
				return err
			}
			name, _ := filepath.Rel(folders[0], filepath.Join(dir, e.Name()))
			l := licence{filepath.ToSlash(name), kindOf(text), text}
			known = known || l.kind != ""
			p.texts = append(p.texts, l)
		}
	}
	if !known {
		return fmt.Errorf("%s %s: no licence was found in %s whose kind is known; read its terms, and add them to kinds", p.path, p.version, folders[0])
	}
	return nil
}

// kinds of licences by what stands in their texts (SPDX License List 3.25, identifiers;
// the passages are from the texts there). The first that fits counts.
var kinds = []struct {
	id   string
	says []string
}{
	{"Apache-2.0", []string{"apache license", "version 2.0"}},
	{"MPL-2.0", []string{"mozilla public license version 2.0"}},
	{"Bitstream-Vera", []string{"bitstream vera is a trademark"}},
	{"BSD-3-Clause", []string{"redistribution and use in source and binary forms", "may be used to endorse or promote"}},
	{"BSD-2-Clause", []string{"redistribution and use in source and binary forms"}},
	{"MIT", []string{"permission is hereby granted, free of charge"}},
	{"ISC", []string{"permission to use, copy, modify, and/or distribute this software for any purpose"}},
	{"blessing", []string{"the author disclaims copyright to this source code"}},
	{"CC0-1.0", []string{"cc0 1.0 universal"}},
}

func kindOf(text []byte) string {
	plain := strings.ToLower(strings.Join(strings.Fields(string(text)), " "))
	for _, k := range kinds {
		if !slices.ContainsFunc(k.says, func(s string) bool { return !strings.Contains(plain, s) }) {
			return k.id
		}
	}
	return ""
}

// ids of the licences of a part, each once.
func (p *part) ids() (out []string) {
	for _, l := range p.texts {
		if l.kind != "" && !slices.Contains(out, l.kind) {
			out = append(out, l.kind)
		}
	}
	return out
}

// together is the text of all licences, part by part.
func together(list []part) []byte {
	var b bytes.Buffer
	b.WriteString("What others made and this program is built from, with the terms under which they give it.\n")
	for _, p := range list {
		name := p.path
		if p.path == std {
			name = "The Go standard library and runtime"
		}
		fmt.Fprintf(&b, "\n%s\n%s %s (%s)\n", strings.Repeat("=", 78), name, p.version, strings.Join(p.ids(), ", "))
		for _, l := range p.texts {
			fmt.Fprintf(&b, "%s\n%s\n\n%s\n", strings.Repeat("-", 78), l.name, bytes.TrimSpace(l.text))
		}
	}
	return b.Bytes()
}

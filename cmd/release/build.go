package main

import (
	"context"
	"debug/buildinfo"
	"debug/elf"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"time"
)

// build is the release for one system.
type build struct {
	version, system, arch string
	made                  time.Time
	work                  string // a private folder
}

// name of the archive, without its ending, and of the folder in it. The names of
// systems are those that their users know.
func (b *build) name() string {
	system := map[string]string{"darwin": "macos"}[b.system]
	if system == "" {
		system = b.system
	}
	arch := map[string]string{"amd64": "x86-64"}[b.arch]
	if b.system == "darwin" {
		arch = map[string]string{"amd64": "intel", "arm64": "apple"}[b.arch]
	}
	if arch == "" {
		arch = b.arch
	}
	return "shortfall-" + b.version + "-" + system + "-" + arch
}

func (b *build) program() string {
	if b.system == "windows" {
		return "shortfall.exe"
	}
	return "shortfall"
}

// archive builds everything and packs it; it gives the path of the archive.
func (b *build) archive(ctx context.Context, folder string) (string, error) {
	program := filepath.Join(b.work, b.system+"-"+b.arch+"-"+b.program())
	if err := b.compile(ctx, program); err != nil {
		return "", err
	}
	info, err := buildinfo.ReadFile(program)
	if err != nil {
		return "", err
	}
	if err := checked(program, b.system, info); err != nil {
		return "", err
	}
	list, err := licences(ctx, b.environment(), info)
	if err != nil {
		return "", err
	}
	own, err := os.ReadFile("LICENSE")
	if err != nil {
		return "", err
	}
	readme, err := b.readme()
	if err != nil {
		return "", err
	}
	bill, err := bill(b, info, list)
	if err != nil {
		return "", err
	}
	content, err := os.ReadFile(program)
	if err != nil {
		return "", err
	}
	return b.pack(folder, []file{
		{b.program(), content, 0o755},
		{"READ-ME.txt", b.lines(readme), 0o644},
		{"LICENCE.txt", b.lines(own), 0o644},
		{"LICENCES-OF-PARTS.txt", b.lines(together(list)), 0o644},
		{"sbom.cdx.json", bill, 0o644},
	})
}

// environment of the Go command: nothing of the machine's own settings goes into the
// program.
func (b *build) environment() []string {
	return append(os.Environ(), "CGO_ENABLED=0", "GOOS="+b.system, "GOARCH="+b.arch, "GOAMD64=v1", "GOARM64=v8.0",
		"GOFLAGS=-mod=readonly", "GOEXPERIMENT=", "GOTOOLCHAIN=local", "GOWORK=off")
}

// compile builds the program without paths of this machine, without symbols and
// without C.
func (b *build) compile(ctx context.Context, to string) error {
	c := exec.CommandContext(ctx, "go", "build", "-trimpath", "-buildvcs=true", "-ldflags=-s -w -buildid=", "-o", to, "./cmd/shortfall")
	c.Env, c.Stderr = b.environment(), os.Stderr
	return c.Run()
}

// checked refuses a program that is not what a release is: built from what was
// committed, and, where the system lets programs be so, without libraries of the
// system's own.
func checked(program, system string, info *buildinfo.BuildInfo) error {
	settings := map[string]string{}
	for _, s := range info.Settings {
		settings[s.Key] = s.Value
	}
	switch {
	case settings["CGO_ENABLED"] != "0" || settings["-trimpath"] != "true":
		return errors.New("the program was not built as a release is")
	case settings["vcs.revision"] == "":
		return errors.New("the program does not know its commit; build from a checkout of git")
	case settings["vcs.modified"] != "false":
		return errors.New("the checkout has changes that are not committed; commit or remove them")
	case system == "linux":
		return static(program)
	}
	return nil
}

// static refuses a program that a dynamic linker would have to start
// (elf(5), PT_INTERP).
func static(program string) error {
	f, err := elf.Open(program)
	if err != nil {
		return err
	}
	defer f.Close()
	for _, p := range f.Progs {
		if p.Type == elf.PT_INTERP {
			return fmt.Errorf("%s is not static", filepath.Base(program))
		}
	}
	return nil
}

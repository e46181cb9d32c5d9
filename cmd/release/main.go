// Command release builds what a person downloads: one static program for each system
// with its read-me, the licences of everything linked into it and a bill of materials,
// in one archive, and the checksums of the archives. The same commit gives the same
// bytes, wherever and whenever it is built.
//
// Place in the pipeline: beside it; `.ci/release` runs it from the top of a checkout.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"shortfall/ingest/scratch"
)

// targets are the systems that a release is built for.
var targets = []string{"windows/amd64", "darwin/amd64", "darwin/arm64", "linux/amd64", "linux/arm64"}

func main() {
	only := flag.String("targets", strings.Join(targets, ","), "systems to build for, as GOOS/GOARCH")
	flag.Usage = func() {
		fmt.Fprintln(flag.CommandLine.Output(), "usage: release [--targets GOOS/GOARCH,...] FOLDER\nbuilds the archives of a release into a folder that does not exist yet")
		flag.PrintDefaults()
	}
	flag.Parse()
	if flag.NArg() != 1 {
		flag.Usage()
		os.Exit(2)
	}
	if err := release(context.Background(), flag.Arg(0), strings.Split(*only, ",")); err != nil {
		fmt.Fprintln(os.Stderr, "release:", err)
		os.Exit(1)
	}
}

// release builds the archives and their checksums into a new folder.
func release(ctx context.Context, folder string, only []string) error {
	for _, t := range only {
		if !slices.Contains(targets, t) {
			return fmt.Errorf("%q is none of the systems %s", t, strings.Join(targets, ", "))
		}
	}
	version, err := versionOf("cmd/shortfall/version.go")
	if err != nil {
		return err
	}
	made, err := commitTime(ctx)
	if err != nil {
		return err
	}
	if err := os.Mkdir(folder, 0o755); err != nil {
		return err
	}
	work, err := os.MkdirTemp("", "shortfall-release-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	var sums strings.Builder
	for _, t := range only {
		b := build{version: version, made: made, work: work}
		b.system, b.arch, _ = strings.Cut(t, "/")
		path, err := b.archive(ctx, folder)
		if err != nil {
			return fmt.Errorf("%s: %w", t, err)
		}
		sum, err := scratch.Sum(path)
		if err != nil {
			return err
		}
		fmt.Fprintf(&sums, "%s  %s\n", sum, filepath.Base(path)) // as sha256sum --check reads it
		fmt.Println(filepath.Base(path))
	}
	return os.WriteFile(filepath.Join(folder, "SHA256SUMS"), []byte(sums.String()), 0o644)
}

var versionLine = regexp.MustCompile(`(?m)^const version = "(\d+\.\d+\.\d+)"$`)

// versionOf reads the version from the source of the program.
func versionOf(path string) (string, error) {
	b, err := os.ReadFile(path)
	if err != nil {
		return "", fmt.Errorf("run it from the top of a checkout: %w", err)
	}
	m := versionLine.FindSubmatch(b)
	if m == nil {
		return "", fmt.Errorf("%s does not say the version", path)
	}
	return string(m[1]), nil
}

// commitTime is the time that every file of the release bears: that of the commit, or
// SOURCE_DATE_EPOCH (reproducible-builds.org, "SOURCE_DATE_EPOCH specification").
func commitTime(ctx context.Context) (time.Time, error) {
	seconds := os.Getenv("SOURCE_DATE_EPOCH")
	if seconds == "" {
		out, err := exec.CommandContext(ctx, "git", "log", "-1", "--format=%ct").Output()
		if err != nil {
			return time.Time{}, errors.Join(errors.New("the time of the commit cannot be read; set SOURCE_DATE_EPOCH"), err)
		}
		seconds = strings.TrimSpace(string(out))
	}
	n, err := strconv.ParseInt(seconds, 10, 64)
	return time.Unix(n, 0).UTC(), err
}

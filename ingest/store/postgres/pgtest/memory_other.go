//go:build !linux

package pgtest

func inMemory() string { return "" }

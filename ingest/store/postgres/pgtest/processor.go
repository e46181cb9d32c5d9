package pgtest

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// ticks a second, in which Linux counts processor time (proc(5), USER_HZ).
const ticks = 100

// Processor is the processor time that the server and its sessions have taken, those that
// have ended included; 0 where the system does not say (it is no Linux).
func (s *Server) Processor() time.Duration {
	n := 0
	stats, _ := filepath.Glob("/proc/[0-9]*/stat")
	for _, path := range stats {
		text, err := os.ReadFile(path)
		if err != nil {
			continue // it has ended
		}
		// After the name in brackets: state, parent, ...; fields 14 to 17 of proc(5) are
		// utime, stime, cutime, cstime.
		_, rest, _ := strings.Cut(string(text), ") ")
		f := strings.Fields(rest)
		if len(f) < 15 {
			continue
		}
		own := path == filepath.Join("/proc", strconv.Itoa(s.daemon.Process.Pid), "stat")
		if !own && f[1] != strconv.Itoa(s.daemon.Process.Pid) {
			continue
		}
		for i := 11; i < 15; i++ {
			v, _ := strconv.Atoi(f[i])
			n += v
		}
	}
	return time.Duration(n) * time.Second / ticks
}

package keep

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"net"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"shortfall/ingest/scratch"
)

// Claim is the right to serve the page of a folder, held until Release or the end
// of the process, however it ends.
type Claim struct {
	home *Home
	lock *os.File
}

const (
	claimName = "page.lock"
	whereName = "page.json"
)

// where the page of a folder answers. The address lets in whoever knows it: it lies
// in the private folder and is gone with the page.
type where struct {
	Address string `json:"address"`
}

// startTime is how long another program may take from its claim to its address.
const startTime = 5 * time.Second

// ErrSilent: another program serves the page and does not answer.
var ErrSilent = errors.New("shortfall is open already and does not answer; end it (log off, or end the process) and start it again")

// Claim takes the right to serve the page. Where another program has it, the claim is
// nil and the address is where that program's page is open.
func (h *Home) Claim(ctx context.Context) (c *Claim, address string, err error) {
	for begun := time.Now(); ; {
		lock, err := try(filepath.Join(h.folder, claimName))
		if err == nil {
			c := &Claim{h, lock}
			return c, "", c.unannounce() // what a killed program left
		}
		if !errors.Is(err, errHeld) {
			return nil, "", err
		}
		if address := h.announced(); address != "" {
			return nil, address, nil
		}
		if time.Since(begun) > startTime {
			return nil, "", ErrSilent
		}
		select {
		case <-ctx.Done():
			return nil, "", ctx.Err()
		case <-time.After(lookAgain):
		}
	}
}

// lookAgain is how often a lock that another program holds is asked for.
const lookAgain = 30 * time.Millisecond

// announced is the address at which the page answers, "" where nothing listens.
func (h *Home) announced() string {
	b, err := scratch.Read(filepath.Join(h.folder, whereName), 4096)
	var at where
	if err != nil || json.Unmarshal(b, &at) != nil {
		return ""
	}
	u, err := url.Parse(at.Address)
	if err != nil || u.Scheme != "http" || !loopback(u.Hostname()) {
		return ""
	}
	conn, err := net.DialTimeout("tcp", u.Host, startTime) // where nothing listens it is refused at once
	if err != nil {
		return ""
	}
	conn.Close()
	return at.Address
}

func loopback(host string) bool {
	ip := net.ParseIP(host)
	return ip != nil && ip.IsLoopback()
}

// Announce says where the page is open, for the next one who starts the program.
func (c *Claim) Announce(address string) error {
	return scratch.Replace(filepath.Join(c.home.folder, whereName), func(w io.Writer) error {
		return json.NewEncoder(w).Encode(where{address})
	})
}

func (c *Claim) unannounce() error {
	err := os.Remove(filepath.Join(c.home.folder, whereName))
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	return err
}

// Release gives the right back.
func (c *Claim) Release() error { return errors.Join(c.unannounce(), c.lock.Close()) }

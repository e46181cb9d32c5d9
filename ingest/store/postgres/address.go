package postgres

import (
	"fmt"
	"net"
	"net/url"
	"os"
	"regexp"
	"strings"

	"github.com/jackc/pgx/v5"

	"shortfall/ingest/store"
)

// Is tells an address of a server from the path of a file.
func Is(address string) bool {
	return strings.HasPrefix(address, "postgres://") || strings.HasPrefix(address, "postgresql://")
}

// pathOf names a database in messages, without who connects.
func pathOf(config *pgx.ConnConfig) string {
	return fmt.Sprintf("postgres://%s/%s", net.JoinHostPort(config.Host, fmt.Sprint(config.Port)), config.Database)
}

// plainName needs no quotes in a statement.
var plainName = regexp.MustCompile("^[a-z][a-z0-9_]{0,40}$")

func configure(address string) (*pgx.ConnConfig, error) {
	bad := func(message string, err error) error {
		return &store.Error{
			Kind: store.CannotOpen, Path: "the address of the server", Message: message, Err: err,
			Remedy: "Write postgres://user@host/database; the password goes into the file of passwords (~/.pgpass) or PGPASSWORD",
		}
	}
	u, err := url.Parse(address)
	if err != nil {
		return nil, bad("cannot be read", nil) // the error would show a password
	}
	if _, is := u.User.Password(); is || u.Query().Has("password") {
		return nil, bad("holds a password, which every program of this machine could read off the command line", nil)
	}
	if q := u.Query(); !q.Has("sslmode") && os.Getenv("PGSSLMODE") == "" && !loopback(u, q) {
		q.Set("sslmode", "verify-full")
		u.RawQuery = q.Encode()
	}
	config, err := pgx.ParseConfig(u.String())
	if err != nil {
		return nil, bad("cannot be read", err)
	}
	if name := config.RuntimeParams["search_path"]; name == "" {
		config.RuntimeParams["search_path"] = UsualSchema
	} else if !plainName.MatchString(name) {
		return nil, bad("names a search_path that is not one plain name (a-z, 0-9 and _)", nil)
	}
	config.RuntimeParams["application_name"] = "shortfall"
	// The sums of a case are then made where its rows are.
	config.RuntimeParams["enable_partitionwise_aggregate"] = "on"
	config.RuntimeParams["enable_partitionwise_join"] = "on"
	return config, nil
}

// loopback tells whether a connection stays on this machine.
func loopback(u *url.URL, q url.Values) bool {
	host := u.Hostname()
	if h := q.Get("host"); h != "" {
		host = h
	}
	ip := net.ParseIP(host)
	return host == "localhost" || strings.HasPrefix(host, "/") || ip != nil && ip.IsLoopback()
}

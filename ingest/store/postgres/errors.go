package postgres

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"database/sql"
	"database/sql/driver"
	"errors"
	"io"
	"net"
	"slices"

	"github.com/jackc/pgx/v5/pgconn"

	"shortfall/ingest/store"
)

// kinds of PostgreSQL's error codes, or of their class, the first two letters
// (https://www.postgresql.org/docs/15/errcodes-appendix.html).
var kinds = map[string]store.Kind{
	"08":    store.CannotOpen, // connection
	"22":    store.Refused,    // data
	"23":    store.Refused,    // constraints
	"25006": store.ReadOnly,
	"28":    store.CannotOpen, // authorization
	"3D":    store.CannotOpen, // no such database
	"40":    store.Locked,     // serialization, deadlock
	"42501": store.ReadOnly,   // privileges
	"53100": store.Full,
	"53300": store.CannotOpen, // too many connections
	"55P03": store.Locked,
	"57P":   store.CannotOpen, // shut down, starting up
	"58":    store.Other,
	"XX001": store.Damaged,
	"XX002": store.Damaged,
}

var remedies = map[store.Kind]string{
	store.CannotOpen: "Check that the server runs, that the address names it, and that you may use its database; of a file that was being imported nothing was kept",
	store.ReadOnly:   "Ask the operator of the server for the role of a writer",
	store.Full:       "Ask the operator of the server for room, and run the same command again; nothing of this file was kept",
	store.Locked:     "Another import is under way; run the same command again. Nothing of this file was kept",
}

// Wrap turns what the server reports into a *store.Error. What it says of the
// values of a row (DETAIL) is left out.
func (db *DB) Wrap(err error) error {
	var own *store.Error
	if err == nil || errors.As(err, &own) ||
		errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	kind, message := store.Other, ""
	var reported *pgconn.PgError
	var connecting *pgconn.ConnectError
	var network net.Error
	var certificate *tls.CertificateVerificationError
	switch {
	case errors.As(err, &certificate):
		return &store.Error{
			Kind: store.CannotOpen, Path: db.path, Message: "the server's certificate was not accepted, so nothing was sent: " + whyNot(certificate),
			Remedy: "Name the server as its certificate does, and the certificate of whoever signed it by sslrootcert=FILE in the address; ask the operator of the server for both",
		}
	case errors.As(err, &reported):
		for _, n := range []int{5, 3, 2} {
			if k, ok := kinds[reported.Code[:min(n, len(reported.Code))]]; ok {
				kind = k
				break
			}
		}
		err = errors.New(reported.Severity + " " + reported.Code)
		if kind == store.CannotOpen && db.fleet {
			message = db.serverLost()
		}
	case errors.As(err, &connecting), errors.As(err, &network):
		kind, message = store.CannotOpen, "the server cannot be reached"
		err = nil // it names users and addresses
	case lost(err):
		kind, message = store.CannotOpen, "the connection to the server was lost"
		err = nil
	}
	e := store.New(kind, db.path, err)
	if message != "" {
		e.Message = message
	}
	if r, ok := remedies[kind]; ok {
		e.Remedy = r
	}
	return e
}

// whyNot says what is wrong with a certificate without the names in it.
func whyNot(err error) string {
	var name x509.HostnameError
	var signer x509.UnknownAuthorityError
	var invalid x509.CertificateInvalidError
	switch {
	case errors.As(err, &name):
		return "it is another server's"
	case errors.As(err, &signer):
		return "who signed it is not known here"
	case errors.As(err, &invalid) && invalid.Reason == x509.Expired:
		return "it has expired, or is not valid yet"
	}
	return "it cannot be checked"
}

// lost tells a connection that ended under way.
func lost(err error) bool {
	return slices.ContainsFunc([]error{io.EOF, io.ErrUnexpectedEOF, net.ErrClosed, pgconn.ErrConnClosed, driver.ErrBadConn, sql.ErrConnDone, sql.ErrTxDone},
		func(is error) bool { return errors.Is(err, is) })
}

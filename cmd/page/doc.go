// Package page serves the whole job as a page on this machine: spreadsheets are
// dropped, read, accepted, audited and reported without a terminal.
//
// Place in the pipeline: beside the verbs of cmd/shortfall, and like them the
// outermost layer. It turns requests into calls of ingest, audit and report and
// their results into HTML. It holds no statistics, no SQL and no sentence about
// the data.
//
// # Who may talk to it
//
// It listens on the loopback address alone. A request must name that address as
// its host (DNS rebinding), must not come from another site (Origin,
// Sec-Fetch-Site), and must carry a cookie that only the address with the key of
// this opening gives, and that a browser sends to the path of this opening alone. No path of a request is opened: it names a database that was
// opened before, or a file that the browser sent, by an id of ours.
package page

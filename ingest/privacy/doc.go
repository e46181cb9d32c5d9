// Package privacy looks for what identifies a person in a file before anything
// of it is kept: in headers, cells, sheet names, comments, document properties
// and the file's name.
//
// Place in the pipeline: ingest shows it every file between reading the cells
// and reading the records, and refuses a file with a finding unless told
// otherwise; pseudonym uses it to decide which columns a copy may keep. It
// imports casebook, columns and rules.
//
// A finding names the place and the class, never the value: no function here
// returns a text that was found, and a sheet or file whose own name is a
// finding is named by its number.
//
// # What is looked for
//
// The checklist is the Safe Harbor list of the United States, 45 CFR
// 164.514(b)(2)(i), identifiers (A) to (R), as the longest list in force; it is
// not legal advice and your own rules may ask for more.
//
//	(A) names                           identifier-name
//	(B) places below a state            identifier-contact (postal addresses)
//	(C) dates but the year; ages > 89   identifier-date
//	(D)(E) telephone, fax               identifier-contact
//	(F) electronic mail                 identifier-contact
//	(G)(H)(I)(J)(K)(L)(M) social security, record, insurance, account, licence,
//	    vehicle and device numbers      identifier-number
//	(N)(O) web and network addresses    identifier-contact
//	(P)(Q) biometrics, photographs      identifier-image
//	(R) any other unique code           identifier-number, and identifier-text
//	    for free text, which may hold any of them
//
// # Limits
//
// Names cannot be told for certain without knowing who exists. They are found
// by their form (two capitalised words that are no words of the trade, titles,
// "Last, First") and by a short list of common given names; a
// surname alone in lower case, or a nickname used as a code, is not found. The
// screen helps the person who sends a file; it does not prove a file anonymous.
package privacy

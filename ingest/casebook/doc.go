// Package casebook is the vocabulary of the project: teeth, axes, styles and
// the four record types (case, course, movement, repeat), together with the
// provenance every record carries.
//
// Place in the pipeline: everything else imports casebook; casebook imports
// nothing of the project. It knows no file format, no database and no
// statistics.
//
// # Sign convention
//
// Movements are signed crown movements seen from the tooth itself, so that
// left and right teeth read alike:
//
//	axis               unit  positive (+)            negative (-)
//	vertical           mm    extrusion               intrusion
//	rotation           deg   mesial side inward      mesial side outward
//	mesiodistal tip    deg   crown mesial            crown distal
//	buccolingual torque deg  crown buccal            crown lingual
//	mesiodistal shift  mm    mesial                  distal
//	buccolingual shift mm    buccal                  lingual
package casebook

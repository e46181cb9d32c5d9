// Package report turns the results of an audit into something to read: a PDF,
// a JSON file with a published schema, and a workbook.
//
// Place in the pipeline: audit computes one Results value, report renders it.
// The input is only that value, so a saved results file gives the same pages.
// report reads and never decides: verdicts, findings, what is highlighted and
// what is suppressed are in the results. It computes nothing that a reader
// could take for a statistic.
//
// The PDF is in reading order: a summary for two minutes, then who is in it,
// what was expressed, whether the feature choice mattered, what it cost, data
// quality, methods; the tables behind the figures come last.
//
// The PDF is not tagged (PDF/UA): the library cannot do it. Its text is real
// text in reading order, with bookmarks and a language.
package report

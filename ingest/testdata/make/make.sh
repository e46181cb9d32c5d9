#!/usr/bin/env bash
# Makes every fixture again: openpyxl 3.0, LibreOffice 7.4, Gnumeric 1.12,
# R's openxlsx 4.2 (Debian 12), hand-written XML and text. The files are committed,
# so tests need none of these programs.
set -euo pipefail
cd "$(dirname "$0")"
out=$(cd .. && pwd)/files
tables=$(mktemp -d); trap 'rm -rf "$tables"' EXIT
mkdir -p "$out"
/usr/bin/python3 openpyxl_files.py "$out"
Rscript openxlsx_files.R "$out"
/usr/bin/python3 text_files.py "$out" "$tables"
/usr/bin/python3 xml_files.py "$out"

office() { # format, input, output
  soffice -env:UserInstallation="file://$tables/profile" --headless --convert-to "$1" --outdir "$tables/lo" "$2" >/dev/null 2>&1
  local made="$tables/lo/$(basename "${2%.*}").${1%%:*}"
  mv "$made" "$out/$3"
}
office xlsx "$out/op-clean.xlsx" lo-clean.xlsx
office xlsx "$out/op-dates.xlsx" lo-dates.xlsx
office xlsx "$out/op-dates-1904.xlsx" lo-dates-1904.xlsx
office xlsx "$tables/flat.csv" lo-flat.xlsx
office xlsx "$out/op-wide-two-headers.xlsx" lo-wide-two-headers.xlsx
office xlsx "$out/op-hidden.xlsx" lo-hidden.xlsx
office xlsx "$out/op-error-cell.xlsx" lo-error-cell.xlsx
office "csv:Text - txt - csv (StarCalc):59,34,76,1" "$out/op-flat.xlsx" lo-flat.csv
office ods "$out/op-clean.xlsx" lo-clean.ods
office xls "$out/op-clean.xlsx" lo-clean.xls
office html "$tables/small.csv" lo-small.html
office pdf "$tables/small.csv" lo-small.pdf

ssconvert -T Gnumeric_Excel:xlsx2 "$out/op-clean.xlsx" "$out/gn-clean.xlsx" 2>/dev/null
ssconvert -T Gnumeric_Excel:xlsx2 "$out/op-dates.xlsx" "$out/gn-dates.xlsx" 2>/dev/null
ssconvert -T Gnumeric_Excel:xlsx "$tables/flat.csv" "$out/gn-flat.xlsx" 2>/dev/null
ssconvert -T Gnumeric_stf:stf_csv "$out/op-flat.xlsx" "$out/gn-flat.csv" 2>/dev/null
ssconvert -T Gnumeric_Excel:xlsx2 "$out/op-sheet-per-case.xlsx" "$out/gn-sheet-per-case.xlsx" 2>/dev/null

# Writes the specs with prog R (openxlsx) and Rcsv (write.table)
suppressMessages({library(jsonlite); library(openxlsx)})
for (f in sort(list.files("./specs", full.names = TRUE))) {
  s <- fromJSON(f, simplifyVector = FALSE)
  out <- file.path("..", s$file)
  val <- function(z) if (is.list(z)) { if (!is.null(z$d)) z$d else z$v } else z
  if (s$prog == "R") {
    wb <- createWorkbook()
    for (sh in s$sheets) {
      addWorksheet(wb, sh$name)
      for (i in seq_along(sh$rows)) { row <- sh$rows[[i]]
        for (j in seq_along(row)) { z <- row[[j]]; if (is.null(z)) next
          if (is.list(z) && !is.null(z$d)) { writeData(wb, sh$name, as.Date(z$d), j, i); addStyle(wb, sh$name, createStyle(numFmt = z$fmt), i, j) }
          else if (is.list(z) && !is.null(z$f)) writeFormula(wb, sh$name, z$f, j, i)
          else { writeData(wb, sh$name, val(z), j, i); if (is.list(z) && !is.null(z$fmt)) addStyle(wb, sh$name, createStyle(numFmt = z$fmt), i, j) } } }
      for (m in sh$merges) mergeCells(wb, sh$name, cols = (m[[2]]:m[[4]]) + 1, rows = (m[[1]]:m[[3]]) + 1)
    }
    saveWorkbook(wb, out, overwrite = TRUE)
  } else if (s$prog == "Rcsv") {
    rows <- s$sheets[[1]]$rows; n <- max(lengths(rows)); comma <- isTRUE(s$csv$comma)
    txt <- function(z) { z <- val(z); if (is.null(z)) NA else if (is.numeric(z)) { t <- format(z, digits = 10, trim = TRUE); if (comma) sub(".", ",", t, fixed = TRUE) else t } else as.character(z) }
    m <- t(sapply(rows, function(r) { v <- sapply(r, txt); c(unlist(v), rep(NA, n - length(r))) }))
    con <- file(out, "w", encoding = "UTF-8")
    q <- matrix(grepl("[^0-9.,-]", m) & !is.na(m), nrow(m)); m[q] <- paste0('"', gsub('"', '""', m[q]), '"')
    comq <- !q & !is.na(m) & grepl(s$csv$sep, m, fixed = TRUE); m[comq] <- paste0('"', m[comq], '"')
    write.table(m, con, sep = s$csv$sep, row.names = FALSE, col.names = FALSE, quote = FALSE, na = ""); close(con)
  }
}

# Reads the rows of a sweep and says which limits govern, and how much of the usable load
# each factor explains by rank.
#
#     sweep -out rows && sweep merge -out rows.csv rows
#     Rscript rows.R rows.csv
#
# It needs nothing but R. rows.csv.json beside the table says what each column is; package
# jsonlite reads it.
name <- commandArgs(trailingOnly = TRUE)[1]
rows <- read.csv(name, na.strings = "", check.names = TRUE)
# Names need no quotes, so R has changed none of them.
stopifnot(identical(names(rows), strsplit(readLines(name, n = 1), ",")[[1]]))

answered <- rows[is.na(rows$refused), ]
cat(nrow(rows), "rows,", nrow(rows) - nrow(answered), "refused\n")
if (nrow(answered) < nrow(rows)) print(table(rows$refused, rows$refused_path, dnn = c("refused", "path")))
print(aggregate(usable_kg ~ governing, answered, quantile, c(0.05, 0.5, 0.95)))

# Ranks need an order, which a factor that takes texts does not have.
for (column in names(answered)[2:(which(names(answered) == "usable_kg") - 1)]) {
  if (is.numeric(answered[[column]]))
    cat(sprintf("%-24s rank correlation %+.2f\n", column, cor(answered[[column]], answered$usable_kg, method = "spearman")))
}

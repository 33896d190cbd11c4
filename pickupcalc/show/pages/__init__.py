"""The sheet on paper: everything for the bench, one page for the borrower."""

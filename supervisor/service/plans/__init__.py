"""Plans as the page meets them: the files, drafts of new ones, and which is fired next."""

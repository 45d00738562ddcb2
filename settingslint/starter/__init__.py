"""Starting: a new portfolio in an empty folder, its git repository, and a control file made by questions."""

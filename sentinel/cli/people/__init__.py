"""The commands of `sentinel people`: each person's own link to the page; made, listed, withdrawn."""

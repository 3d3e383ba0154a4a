"""The files of a plan that people read. `write.write_outputs` makes them all."""

"""The exercises, one module each with a `TASK`; they are found by themselves (`phasorkit.course.model.tasks`)."""

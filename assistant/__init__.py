"""A helper for threading a loom alone. Nothing leaves the machine, nor does what a library would tell its makers."""

import os

os.environ["ORT_DISABLE_TELEMETRY"] = "1"  # onnxruntime, of the neural voices, reads it when it is first imported

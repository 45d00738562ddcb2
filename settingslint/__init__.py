"""settingslint: settings as code for modulating hot-water boilers."""

__version__ = "0.1.0"

"""The hoof mathematics: quantities, units, shape rules, growth and trend.

Pure code: numpy only, no database, no clock, no files. Base units are mm, deg and kg;
other units appear in names. Import the module you need (`from measurements.hoof import growth`).
"""

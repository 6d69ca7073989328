"""Finds the tag36h11 tags of photos by Debian's OpenCV at half size, as the check does first: bench_tags.py RUNS PHOTO..."""

import json
import statistics
import sys
import time

import cv2

cv2.setNumThreads(1)
runs, files = int(sys.argv[1]), sys.argv[2:]
dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
new = hasattr(cv2.aruco, "ArucoDetector")
parameters = cv2.aruco.DetectorParameters() if new else cv2.aruco.DetectorParameters_create()
parameters.adaptiveThreshWinSizeMin = parameters.adaptiveThreshWinSizeMax = 23
parameters.minMarkerPerimeterRate = 0.01


def detect(image):
    if new:
        return cv2.aruco.ArucoDetector(dictionary, parameters).detectMarkers(image)
    return cv2.aruco.detectMarkers(image, dictionary, parameters=parameters)


images = [cv2.imread(file, cv2.IMREAD_GRAYSCALE) for file in files]
times, processor = [], []
for _ in range(runs):
    start, spent = time.perf_counter(), time.process_time()
    tags = 0
    for image in images:
        half = cv2.resize(image, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
        ids = detect(half)[1]
        tags += 0 if ids is None else len(ids)
    times.append(time.perf_counter() - start)
    processor.append(time.process_time() - spent)
print(
    json.dumps(
        {
            "version": cv2.__version__,
            "tags": tags,
            "seconds": statistics.median(times),
            "processor": statistics.median(processor),
        }
    )
)

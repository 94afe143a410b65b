from django.http import FileResponse

from horses.access import access_get
from measurements.queries.picture_points import pictures_seen


def picture_file(request, case_id, picture_id):
    access = access_get(request.user, case_id)
    p = pictures_seen(access).get(public_id=picture_id)
    return FileResponse(p.file.open("rb"), content_type="image/jpeg")

# All migrations before the first release in one; `replaces` names them for databases that ran them.

import django.db.models.deletion
import horses.models.base
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    replaces = [
        ('measurements', '0001_initial'),
        ('measurements', '0002_band_any_time_and_one_sided'),
        ('measurements', '0003_reading_shoe_then'),
    ]

    dependencies = [
        ('horses', '0001_first_release'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='FootVerdict',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=horses.models.base.new_public_id, editable=False, max_length=16, unique=True)),
                ('foot', models.CharField(choices=[('LF', 'left fore'), ('RF', 'right fore'), ('LH', 'left hind'), ('RH', 'right hind')], max_length=2)),
                ('series_key', models.CharField(max_length=64)),
                ('state', models.CharField(max_length=10)),
                ('visits_seen', models.PositiveIntegerField()),
                ('judged_at', models.DateTimeField()),
                ('result', models.JSONField()),
                ('horse', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='verdicts', to='horses.horse')),
            ],
            options={
                'ordering': ['judged_at', 'id'],
                'constraints': [models.UniqueConstraint(fields=('horse', 'foot', 'series_key'), name='foot_verdict_once_a_series')],
            },
        ),
        migrations.CreateModel(
            name='Reading',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=horses.models.base.new_public_id, editable=False, max_length=16, unique=True)),
                ('foot', models.CharField(choices=[('LF', 'left fore'), ('RF', 'right fore'), ('LH', 'left hind'), ('RH', 'right hind')], max_length=2)),
                ('quantity', models.CharField(choices=[('toe_angle', 'toe angle'), ('heel_angle', 'heel angle'), ('pastern_angle', 'pastern angle'), ('toe_length', 'toe length'), ('heel_length_medial', 'inside heel length'), ('heel_length_lateral', 'outside heel length'), ('frog_width', 'frog width'), ('frog_length', 'frog length'), ('hoof_width', 'hoof width'), ('hoof_length', 'hoof length'), ('coronary_circumference', 'coronet circumference'), ('palmar_angle', 'palmar angle'), ('sole_depth', 'sole depth')], max_length=30)),
                ('value', models.DecimalField(decimal_places=6, max_digits=12)),
                ('entered_value', models.DecimalField(decimal_places=6, max_digits=12)),
                ('entered_unit', models.CharField(max_length=3)),
                ('entered_text', models.CharField(max_length=40)),
                ('method', models.CharField(choices=[('gauge', 'hoof gauge'), ('tape', 'tape or caliper'), ('photo', 'photo'), ('radiograph', 'radiograph'), ('owner', "owner's own measuring")], max_length=10)),
                ('trim_state', models.CharField(choices=[('before', 'before the trim'), ('after', 'after the trim'), ('between', 'between visits')], max_length=8)),
                ('shoeing', models.CharField(blank=True, choices=[('barefoot', 'barefoot'), ('shod', 'shod'), ('shod_wedge', 'shod with wedge or pad')], max_length=12)),
                ('shoe_then', models.CharField(blank=True, choices=[('on', 'shoe on'), ('off', 'shoe off')], db_default='', default='', max_length=3)),
                ('taken_on', models.DateField()),
                ('taken_by_name', models.CharField(max_length=120)),
                ('recorded_at', models.DateTimeField()),
                ('confirmed_odd', models.BooleanField(default=False)),
                ('source', models.CharField(default='form', max_length=10)),
                ('correction_reason', models.CharField(blank=True, max_length=300)),
                ('is_void', models.BooleanField(default=False)),
                ('corrects', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='corrected_by', to='measurements.reading')),
                ('horse', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='readings', to='horses.horse')),
                ('recorded_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('taken_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('visit', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='readings', to='horses.visit')),
            ],
            options={
                'ordering': ['taken_on', 'id'],
                'indexes': [models.Index(fields=['horse', 'foot', 'quantity', 'taken_on'], name='measurement_horse_i_ba102e_idx')],
            },
        ),
        migrations.CreateModel(
            name='Target',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=horses.models.base.new_public_id, editable=False, max_length=16, unique=True)),
                ('foot', models.CharField(choices=[('LF', 'left fore'), ('RF', 'right fore'), ('LH', 'left hind'), ('RH', 'right hind')], max_length=2)),
                ('quantity', models.CharField(choices=[('toe_angle', 'toe angle'), ('heel_angle', 'heel angle'), ('pastern_angle', 'pastern angle'), ('toe_length', 'toe length'), ('heel_length_medial', 'inside heel length'), ('heel_length_lateral', 'outside heel length'), ('frog_width', 'frog width'), ('frog_length', 'frog length'), ('hoof_width', 'hoof width'), ('hoof_length', 'hoof length'), ('coronary_circumference', 'coronet circumference'), ('palmar_angle', 'palmar angle'), ('sole_depth', 'sole depth')], max_length=30)),
                ('moment', models.CharField(choices=[('after', 'just after the trim'), ('before', 'at the end of the cycle'), ('any', 'at any time')], max_length=8)),
                ('low', models.DecimalField(blank=True, decimal_places=6, max_digits=12, null=True)),
                ('high', models.DecimalField(blank=True, decimal_places=6, max_digits=12, null=True)),
                ('from_on', models.DateField()),
                ('reason', models.TextField()),
                ('therapeutic', models.BooleanField()),
                ('set_role', models.CharField(choices=[('owner', 'owner'), ('farrier', 'farrier'), ('vet', 'vet'), ('carer', 'carer')], max_length=10)),
                ('set_at', models.DateTimeField()),
                ('horse', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='targets', to='horses.horse')),
                ('plan_version', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='targets', to='horses.planitemversion')),
                ('set_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['from_on', 'id'],
                'indexes': [models.Index(fields=['horse', 'foot', 'quantity'], name='measurement_horse_i_12b115_idx')],
                'constraints': [models.CheckConstraint(condition=models.Q(('low__isnull', True), ('high__isnull', True), ('low__lt', models.F('high')), _connector='OR'), name='target_low_below_high')],
            },
        ),
    ]

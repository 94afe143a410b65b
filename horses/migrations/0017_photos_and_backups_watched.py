from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('horses', '0016_newcomers'),
    ]

    operations = [
        migrations.CreateModel(
            name='WatchNote',
            fields=[
                ('name', models.CharField(max_length=20, primary_key=True, serialize=False)),
                ('looked_at', models.DateTimeField()),
                ('well_at', models.DateTimeField(blank=True, null=True)),
                ('trouble', models.CharField(blank=True, max_length=200)),
            ],
        ),
        migrations.AddField(
            model_name='flagphoto',
            name='lost_at',
            field=models.DateTimeField(blank=True, null=True),
        ),
    ]
